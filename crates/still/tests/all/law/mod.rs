//! The law of the one walk: forecast, track, driven still and a walk fed each second end every
//! step for the same cause at the same time.

mod balance;
mod cover;
#[path = "../../drawn/mod.rs"]
mod drawn;
mod four;
mod limits;

use four::{Ended, driven, forecasted, per_second, tracked};
use still::outcome::EndedBy;
use still::walk::PlateauWatch;

/// Plans gone through by default.
const PLANS: u64 = 16;
/// What a walk looked at each second comes late by at most, s.
const SECOND_S: f64 = 1.0;
/// How wrong an observation may be at the forecast's tolerance, in the unit of its cause: the
/// tolerances at rtol 1e-3 against the independent trajectories (reference/column/README.md).
fn error_of(by: EndedBy, limit: f64) -> f64 {
    match by {
        EndedBy::UntilRiseK | EndedBy::UntilPotC => 0.02,
        EndedBy::UntilStrengthVol => 0.05,
        EndedBy::UntilMl | EndedBy::UntilTotalMl => 1e-3 * limit,
        EndedBy::ElementCover => 1e-3 * limit.max(1.0),
        // A share of the charge; and a thousandth of a vapour of some hundredths of a mol/s.
        EndedBy::PotDry => 1e-3,
        EndedBy::NoVapour => 1e-5,
        _ => 0.0,
    }
}

/// What two ways through a plan may differ by: what came before, and the error of what is
/// observed over the slope with which it comes to its limit (flat curves move more). Each of the
/// two ways has that error.
fn allowance_s(at: &Ended, slope_per_s: f64, before_s: f64) -> f64 {
    // A rise acts from a sample of the plateau on: one sample sooner or later.
    let sample_s = if at.by == EndedBy::UntilRiseK { PlateauWatch::every_s() } else { 0.0 };
    before_s + 2.0 * error_of(at.by, at.limit) / slope_per_s.max(1e-12) + sample_s + 0.05
}

/// The slopes of the margins at each end, by the walk fed each second; where they stand still the
/// end may be anywhere.
#[test]
fn prop_four_ways_through_a_plan_end_each_step_alike() {
    let (mut steps, mut worst, mut wrong) = (0, [0.0_f64; 3], Vec::new());
    let mut causes = std::collections::BTreeMap::new();
    for seed in 0..drawn::count(PLANS) {
        let plan = drawn::plan(seed);
        let planned = match forecasted(&plan) {
            Ok(planned) => planned,
            Err(error) => {
                wrong.push(format!("seed {seed}: {error}"));
                continue;
            }
        };
        let (seconds, slopes) = per_second(&plan);
        let ways = [tracked(&plan), driven(&plan), seconds];
        let late_s = [0.0, 0.0, SECOND_S];
        for (way, list) in ways.iter().enumerate() {
            let mut before_s = 0.0;
            if list.len() != planned.len() {
                wrong.push(format!("seed {seed} way {way}: {list:?} for {planned:?}"));
                continue;
            }
            for (place, (want, got)) in planned.iter().zip(list).enumerate() {
                let slope = slopes.get(place).copied().unwrap_or(0.0);
                let allowed = allowance_s(want, slope, before_s) + late_s[way];
                let off_s = (want.end_s - got.end_s).abs();
                worst[way] = worst[way].max(off_s - before_s);
                if got.by != want.by || off_s > allowed {
                    wrong.push(format!(
                        "seed {seed} way {way} step {}: {} at {:.2} for {} at {:.2}, {allowed:.2}",
                        want.index,
                        got.by.name(),
                        got.end_s,
                        want.by.name(),
                        want.end_s
                    ));
                }
                before_s = 1.2 * off_s;
                steps += usize::from(way == 0);
            }
        }
        for ended in planned {
            *causes.entry(ended.by.name()).or_insert(0) += 1;
        }
    }
    println!("{steps} steps; beyond the shift before: {worst:?} s; {causes:?}");
    assert!(wrong.is_empty(), "{} wrong: {wrong:#?}", wrong.len());
}
