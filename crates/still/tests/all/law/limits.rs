//! A reckoning has its own limit and can be stopped.

use still::forecast::{Options, forecast};
use still::{Cancel, StillError};

use super::drawn;

#[test]
fn prop_a_cancelled_forecast_stops_with_a_clear_error() {
    let cancel = Cancel::new();
    let options = Options { cancel: cancel.clone(), ..Options::default() };
    let plan = drawn::plan(1);
    assert!(forecast(&plan, &options).is_ok());
    cancel.cancel();
    let error = forecast(&plan, &options).expect_err("it was cancelled");
    assert!(matches!(error, StillError::Cancelled { .. }), "{error:?}");
    assert_eq!(error.code(), "cancelled");
    assert!(!error.hint().is_empty());
}

/// The named example: 400 001 steps allowed held all forecasts for 41 s. What drawn plans need is
/// far below what is allowed now, so that the limit stops no sensible run.
#[test]
fn regress_drawn_plans_need_a_twentieth_of_the_steps_allowed() {
    let mut most = 0;
    for seed in 0..drawn::count(60) {
        let options = Options { row_every_s: None, ..Options::default() };
        let effort = forecast(&drawn::plan(seed), &options).expect("it boils").effort;
        most = most.max(effort.steps + effort.rejected);
    }
    println!("at most {most} attempts");
    assert!(most <= 500, "{most} attempts of 10 000");
}
