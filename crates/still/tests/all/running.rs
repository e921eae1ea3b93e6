//! A driven still that is driven as planned must do what the forecast says.

use quantities::{Power, RunTime};
use still::forecast::{Options, forecast};
use still::plan::{RunPlan, TakeOff};
use still::running::RunningStill;

/// A heater at so many watts.
fn power(watts: f64) -> Power {
    Power::from_watts(watts).expect("a heater has such a power")
}

/// A moment of the run.
fn at(seconds: f64) -> RunTime {
    RunTime::from_seconds(seconds).expect("a run has such a time")
}

fn plan() -> RunPlan {
    toml::from_str(include_str!("../../reference/column/C8/run.toml")).expect("a bundled plan runs")
}

#[test]
fn prop_driven_as_planned_equals_the_forecast() {
    let plan = plan();
    let planned = forecast(&plan, &Options::default()).expect("a bundled plan runs");
    let mut still = RunningStill::new(&plan).expect("a bundled plan runs");
    still.set_coolant_l_per_min(2.0);
    still.set_heater(power(2000.0)).expect("it can be set");
    for step in &planned.steps[1..] {
        still.advance_to(at(step.start_s)).expect("a bundled plan runs");
        still.set_heater(power(step.watts)).expect("it can be set");
        still.set_take_off(plan.steps[step.index].take_off()).expect("it can be set");
        still.advance_to(at(step.end_s)).expect("a bundled plan runs");
        let state = still.state().expect("a bundled plan runs");
        // the warm-up is explicit here: its end may be off by a second or two
        assert!((state.pot_c - step.pot_end_c).abs() < 0.05, "{state:?} {step:?}");
        if state.head_c < 90.0 {
            assert!((state.head_c - step.head_end_c).abs() < 0.05, "{state:?} {step:?}");
        }
    }
    let collected = still.state().expect("a bundled plan runs").drawn.litres_20c;
    assert!((collected - planned.totals.litres_20c).abs() < 5e-3, "{collected}");
}

#[test]
fn prop_an_interrupted_still_cools_and_goes_on() {
    let plan = plan();
    let ready_s = forecast(&plan, &Options::default()).expect("a bundled plan runs").ready_s;
    let mut still = RunningStill::new(&plan).expect("a bundled plan runs");
    still.set_heater(power(2000.0)).expect("it can be set");
    still.advance_to(at(ready_s + 900.0)).expect("a bundled plan runs");
    let before = still.state().expect("a bundled plan runs");
    assert!(before.ready && before.head_c > 77.0);
    still.set_heater(power(0.0)).expect("it can be set");
    still.advance_to(at(ready_s + 2700.0)).expect("a bundled plan runs");
    let resting = still.state().expect("a bundled plan runs");
    assert!(!resting.boiling && resting.head_c < 25.0 && resting.pot_c < before.pot_c - 1.0);
    assert!(resting.takeoff_ml_per_min == 0.0);
    still.set_heater(power(2000.0)).expect("it can be set");
    still.advance_to(at(ready_s + 4500.0)).expect("a bundled plan runs");
    let after = still.state().expect("a bundled plan runs");
    assert!(after.boiling && (after.head_c - before.head_c).abs() < 1.0, "{after:?}");
    // moles stay; composition, and with it volume, still settles between pot and column
    assert!((after.pot.litres_20c - before.pot.litres_20c).abs() < 0.05);
}

#[test]
fn prop_a_still_without_heat_never_moves() {
    let mut still = RunningStill::new(&plan()).expect("a bundled plan runs");
    still.advance_to(at(36_000.0)).expect("a bundled plan runs");
    let state = still.state().expect("a bundled plan runs");
    assert!(!state.boiling && !state.ready && (state.pot_c - 20.0).abs() < 2.0);
}

/// More is lost through the column's wall than a weak heater makes: the pot boils, nothing comes.
#[test]
fn prop_a_column_that_loses_all_its_vapour_draws_nothing_and_comes_back() {
    let mut plan = plan();
    plan.still.column_loss_w_per_k = 3.0;
    let mut still = RunningStill::new(&plan).expect("the plan is sound");
    let full_w = plan.step_power(0).watts();
    still.set_heater(power(full_w)).expect("it can be set");
    let mut now_s = 0.0;
    while !still.state().expect("it runs").ready && now_s < 40_000.0 {
        now_s += 60.0;
        still.advance_to(at(now_s)).expect("it heats up");
    }
    now_s += 1800.0;
    still.advance_to(at(now_s)).expect("it equalises");
    let boiler_w = plan.still.boiler_loss_w_per_k * 80.0;
    still.set_heater(power(boiler_w + 60.0)).expect("it can be set");
    still.set_take_off(TakeOff::RefluxRatio(1.0)).expect("it can be set");
    let before = still.state().expect("it runs");
    now_s += 3600.0;
    still.advance_to(at(now_s)).expect("nothing breaks");
    let weak = still.state().expect("nothing breaks");
    assert!(weak.vn_mol_s <= 0.0 && weak.head_c < before.head_c - 10.0, "{weak:?}");
    still.set_heater(power(full_w)).expect("it can be set");
    now_s += 1800.0;
    still.advance_to(at(now_s)).expect("it goes on");
    let again = still.state().expect("it goes on");
    assert!(again.drawn.litres_20c > weak.drawn.litres_20c && again.head_c > 70.0, "{again:?}");
}
