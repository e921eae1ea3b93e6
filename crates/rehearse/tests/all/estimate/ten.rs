//! Ten rehearsals, made once and looked at by every check that asks about many runs.

use std::panic::{AssertUnwindSafe, catch_unwind};

use super::recorded::{Recorded, Told};
use super::{faults, outlook, warm};
use crate::common::{column, example_plans, pot};

/// Bench and example house, each plan with two seeds.
fn ten() -> Vec<Told> {
    let plans = example_plans().map(|(_, plan)| plan);
    let plans = plans.into_iter().chain([column(), pot()]).enumerate();
    let runs = plans.flat_map(|(place, plan)| {
        let seed = 100 + 10 * place as u64;
        [Recorded::of(plan.clone(), seed), Recorded::of(plan, seed + 1)]
    });
    runs.map(Told::of).collect()
}

/// The name of a check, and the check.
type Named = (&'static str, fn(&[Told]));

const CHECKS: [Named; 6] = [
    ("healthy_rehearsals_accuse_nobody", faults::healthy_rehearsals_accuse_nobody),
    (
        "a_step_that_is_over_by_its_minutes",
        outlook::a_step_that_is_over_by_its_minutes_ends_no_later,
    ),
    ("an_end_that_is_ahead", outlook::prop_an_end_that_is_ahead_is_not_in_the_past),
    ("the_true_end", outlook::prop_the_true_end_lies_in_the_95_percent_band_at_half_the_hearts),
    ("a_band_narrows", outlook::a_band_narrows_while_the_hearts_run),
    ("a_warm_step", warm::a_warm_step_stays_near_the_cold_fit_in_ten_recordings),
];

/// One test, because the runs cost more than what is asked of them. A check that fails says why on
/// standard error, and the others go on.
#[test]
fn prop_ten_rehearsals_are_known_as_they_were() {
    let ten = ten();
    let fails = |check: fn(&[Told])| catch_unwind(AssertUnwindSafe(|| check(&ten))).is_err();
    let failed: Vec<_> = CHECKS.into_iter().filter(|(_, check)| fails(*check)).collect();
    let names: Vec<_> = failed.into_iter().map(|(name, _)| name).collect();
    assert!(names.is_empty(), "{names:?}");
}
