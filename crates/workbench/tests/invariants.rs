//! What must hold in every second, over rehearsals of drawn plans: half of them attended with care,
//! half by a stand-in who is late, early, presses twice, forgets, loses power, a probe or all
//! readings, or leaves. `MIDDLECUT_DRAWN_PLANS` asks for another number of plans.

#[path = "../../still/tests/drawn/mod.rs"]
#[expect(dead_code, reason = "a test of the still uses the rest")]
mod drawn;

use advise::LiveOptions;
use rehearse::{Attended, Manner};
use workbench::invariants::{Count, rehearsed};

/// Plans where nobody asks for more.
const USUAL: u64 = 16;
/// One plan in so many is rehearsed with an estimate a minute.
const ESTIMATE_EVERY: u64 = 8;

#[test]
fn prop_what_is_known_holds_together_in_every_second_of_drawn_rehearsals() {
    let plans = drawn::count(USUAL);
    let (mut total, mut broken) = (Count::default(), Vec::new());
    for seed in 0..plans {
        let plan = drawn::plan(seed);
        let careless = Manner::CARELESS[(seed / 2) as usize % Manner::CARELESS.len()];
        let manner = if seed % 2 == 0 { Manner::Careful } else { careless };
        let estimate = seed % ESTIMATE_EVERY == 0;
        let options = LiveOptions { estimate, ..LiveOptions::default() };
        match rehearsed(&plan, &Attended { seed, manner, options }) {
            Ok(report) => {
                total.add(&report.count);
                let found = report.broken.into_iter().map(|what| (seed, manner, what));
                broken.extend(found);
            }
            Err(why) => panic!("plan {seed}: {why}"),
        }
    }
    println!("{plans} plans, {} s, {} checks, {} moves", total.seconds, total.checks, total.moves);
    assert!(broken.is_empty(), "{} rules: {broken:#?}", broken.len());
}
