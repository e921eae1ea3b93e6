//! What must hold in every second, over rehearsals of drawn plans: half of them attended with care,
//! half by a stand-in who is late, early, presses twice, forgets, loses power, a probe or all
//! readings, or leaves. `MIDDLECUT_DRAWN_PLANS` asks for another number of plans.

#[path = "../../still/tests/drawn/mod.rs"]
#[expect(dead_code, reason = "a test of the still uses the rest")]
mod drawn;

use std::time::Instant;

use advise::LiveOptions;
use rayon::prelude::*;
use rehearse::{Attended, Manner};
use workbench::invariants::{Count, Report, rehearsed};

/// Plans where nobody asks for more.
const USUAL: u64 = 16;
/// Of the usual plans, those rehearsed with an estimate a minute: columns and pots, attended with
/// care, late, with double presses, through a power cut and without readings. Short ones: the first
/// plan runs 28 h.
const ESTIMATED: [u64; 6] = [1, 4, 5, 8, 9, 13];
/// Of the plans beyond, one in so many.
const ESTIMATE_EVERY: u64 = 8;

/// A plan, how it was attended, how long that took, and what was found.
struct Watched {
    seed: u64,
    manner: Manner,
    took_s: f64,
    report: Result<Report, String>,
}

fn estimated(seed: u64) -> bool {
    if seed < USUAL { ESTIMATED.contains(&seed) } else { seed.is_multiple_of(ESTIMATE_EVERY) }
}

fn watch(seed: u64) -> Watched {
    let careless = Manner::CARELESS[(seed / 2) as usize % Manner::CARELESS.len()];
    let manner = if seed.is_multiple_of(2) { Manner::Careful } else { careless };
    let estimate = estimated(seed);
    let options = LiveOptions { estimate, ..LiveOptions::default() };
    let begun = Instant::now();
    let report = rehearsed(&drawn::plan(seed), &Attended { seed, manner, options });
    let took_s = begun.elapsed().as_secs_f64();
    Watched { seed, manner, took_s, report }
}

#[test]
fn prop_what_is_known_holds_together_in_every_second_of_drawn_rehearsals() {
    let plans = drawn::count(USUAL);
    let all: Vec<Watched> = (0..plans).into_par_iter().map(watch).collect();
    let (mut total, mut broken) = (Count::default(), Vec::new());
    for Watched { seed, manner, report, .. } in &all {
        match report {
            Ok(report) => {
                total.add(&report.count);
                broken
                    .extend(report.broken.iter().map(|what| format!("{seed} {manner:?} {what:?}")));
            }
            Err(why) => broken.push(format!("{seed} {manner:?}: {why}")),
        }
    }
    let quick = all.iter().filter(|watched| !estimated(watched.seed));
    let slowest_s = quick.map(|watched| watched.took_s).fold(0.0, f64::max);
    println!("{plans} plans, {} s, {} checks, {} moves", total.seconds, total.checks, total.moves);
    println!("slowest without forecasts {slowest_s:.1} s");
    assert!(broken.is_empty(), "{} rules: {broken:#?}", broken.len());
}
