//! What must hold in every second, over rehearsals of drawn plans: half of them attended with care,
//! half by a stand-in who is late, early, presses twice, forgets, loses power, a probe or all
//! readings, or leaves. `MIDDLECUT_DRAWN_PLANS` asks for another number of plans; what broke is
//! printed as soon as its plan is done (`--nocapture`).

#![expect(clippy::print_stdout, reason = "what was found is told while the others run")]

#[path = "../../still/tests/drawn/mod.rs"]
#[expect(dead_code, reason = "a test of the still uses the rest")]
mod drawn;

use std::time::Instant;

use advise::LiveOptions;
use rayon::prelude::*;
use rehearse::{Attended, Manner};
use still::forecast::{Options, forecast};
use still::plan::RunPlan;
use workbench::invariants::{Count, Report, rehearsed};

/// Plans where nobody asks for more.
const USUAL: u64 = 16;
/// Of the usual plans, those rehearsed with an estimate a minute: columns and pots, attended with
/// care, late, with double presses, through a power cut and without readings. Short ones: the first
/// plan runs 28 h.
const ESTIMATED: [u64; 6] = [1, 4, 5, 8, 9, 13];
/// Of the plans beyond, one in so many where it is over within so long: the longest go on for days,
/// and each minute of them is an estimate.
const ESTIMATE_EVERY: u64 = 4;
const ESTIMATED_S: f64 = 5.0 * 3600.0;

/// A plan, how it was attended, how long that took, and what was found.
struct Watched {
    seed: u64,
    manner: Manner,
    estimated: bool,
    took_s: f64,
    report: Result<Report, String>,
}

fn estimated(seed: u64, plan: &RunPlan) -> bool {
    if seed < USUAL {
        return ESTIMATED.contains(&seed);
    }
    seed.is_multiple_of(ESTIMATE_EVERY) && soon_over(plan)
}

/// Whether a plan is over by then, as forecast.
fn soon_over(plan: &RunPlan) -> bool {
    let options = Options { row_every_s: None, ..Options::default() };
    let steps = forecast(plan, &options).map(|planned| planned.steps).unwrap_or_default();
    steps.last().is_some_and(|last| last.end_s < ESTIMATED_S)
}

fn watch(seed: u64) -> Watched {
    let careless = Manner::CARELESS[(seed / 2) as usize % Manner::CARELESS.len()];
    let manner = if seed.is_multiple_of(2) { Manner::Careful } else { careless };
    let plan = drawn::plan(seed);
    let estimated = estimated(seed, &plan);
    let options = LiveOptions { estimate: estimated, ..LiveOptions::default() };
    let begun = Instant::now();
    let report = rehearsed(&plan, &Attended { seed, manner, options, scale: false });
    let took_s = begun.elapsed().as_secs_f64();
    let watched = Watched { seed, manner, estimated, took_s, report };
    println!("plan {seed}, estimates {estimated}: {took_s:.1} s, broken {:?}", watched.broken());
    watched
}

impl Watched {
    fn broken(&self) -> Vec<String> {
        let Self { seed, manner, report, .. } = self;
        match report {
            Ok(report) => {
                report.broken.iter().map(|what| format!("{seed} {manner:?} {what:?}")).collect()
            }
            Err(why) => vec![format!("{seed} {manner:?}: {why}")],
        }
    }
}

#[test]
fn prop_what_is_known_holds_together_in_every_second_of_drawn_rehearsals() {
    let plans = drawn::count(USUAL);
    let all: Vec<Watched> = (0..plans).into_par_iter().map(watch).collect();
    let broken: Vec<String> = all.iter().flat_map(Watched::broken).collect();
    let mut total = Count::default();
    for report in all.iter().filter_map(|watched| watched.report.as_ref().ok()) {
        total.add(&report.count);
    }
    let (with, quick): (Vec<&Watched>, Vec<_>) = all.iter().partition(|watched| watched.estimated);
    let slowest_s = quick.iter().map(|watched| watched.took_s).fold(0.0, f64::max);
    println!("{plans} plans, {} with estimates: {total:?}", with.len());
    println!("slowest without estimates {slowest_s:.1} s");
    assert!(broken.is_empty(), "{} rules: {broken:#?}", broken.len());
}
