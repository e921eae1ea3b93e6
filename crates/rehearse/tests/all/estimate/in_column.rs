//! A thermometer in the column of a rehearsed still: what it shows, what it is worth, and when it is
//! let go of.

use estimate::{FaultKind, Settings, Warm, renew};
use rehearse::Rehearsal;
use sense::{Action, Probe, Reading};
use still::Cancel;
use still::plan::RunPlan;

use super::recorded::{Recorded, known};
use crate::common::column;

fn with_probe() -> RunPlan {
    let mut plan = column();
    plan.still.column_probe_fraction = Some(0.5);
    plan
}

/// What is read in the first minutes under full heat.
fn first_rows(plan: &RunPlan) -> Vec<Reading> {
    let mut still = Rehearsal::new(plan, 11, false).expect("the plan is sound");
    still.person(0.0, &Action::Heater { watts: plan.step_power(0).watts() });
    let read = (0..4200).step_by(10).map(|second| still.second(second, &[]));
    read.flat_map(|rows| rows.expect("it can be simulated").readings).map(|row| row.1).collect()
}

#[test]
fn prop_a_thermometer_in_the_column_leaves_every_other_reading_as_it_was() {
    let (bare, with) = (first_rows(&column()), first_rows(&with_probe()));
    assert!(bare.iter().all(|row| row.get(Probe::Column).is_none()), "none is stated");
    let last = with.last().expect("rows");
    let of = |probe| last.get(probe).expect("it is read");
    // Total reflux: hotter than the head and colder than the pot, but for what probes err by.
    let celsius = of(Probe::Column);
    assert!(of(Probe::Head) - 0.7 < celsius && celsius < of(Probe::Pot), "{last:?}");
    for (bare, mut with) in bare.into_iter().zip(with) {
        with.set(Probe::Column, None);
        assert_eq!(bare, with);
    }
}

#[test]
fn a_thermometer_in_the_column_narrows_the_end_and_one_that_cannot_be_is_let_go() {
    let run = Recorded::of(with_probe(), 11);
    let at_s = run.at(0.9);
    let outlook = known(&run.plan, &run.rows, at_s);
    let worth = outlook.evidence.column.expect("it counts");
    assert!((0.0..0.9).contains(&worth.end_gain), "{worth:?}");
    assert!(outlook.faults.iter().all(|fault| fault.channel != "column_c"), "{:?}", outlook.faults);
    let end = outlook.plan_end.expect("the plan has hearts").time_s;
    assert!(end.p025 < run.hearts_s.1 && run.hearts_s.1 < end.p975, "{end:?}, {:?}", run.hearts_s);

    // Live it costs what an update costs without it: three simulations in the median.
    let update = |at_s: f64, warm: Option<&Warm>| {
        let never = Cancel::never();
        renew(&run.plan, &run.rows, at_s, None, Settings::default(), warm, &never).expect("sound")
    };
    let (_, mut warm) = update(run.at(0.6), None);
    let mut made: Vec<u64> = (1..=9)
        .map(|minute| {
            let (outlook, next) = update(run.at(0.6) + 60.0 * f64::from(minute), Some(&warm));
            assert!(outlook.evidence.column.is_some(), "it counts live");
            warm = next;
            outlook.evidence.simulations
        })
        .collect();
    made.sort_unstable();
    assert!(made[4] <= 3, "{made:?}");

    // Six kelvin colder from half of the hearts on: colder than the head, and no column is.
    let mut rows = run.rows.clone();
    for (time_s, row) in &mut rows.readings {
        if *time_s > run.at(0.5) {
            row.set(Probe::Column, row.get(Probe::Column).map(|celsius| celsius - 6.0));
        }
    }
    let spoilt = known(&run.plan, &rows, at_s);
    let named = |fault: &&estimate::Fault| fault.kind == FaultKind::ColumnLeftOut;
    let fault = spoilt.faults.iter().find(named).expect("it is named");
    assert!(fault.probability >= 0.5 && fault.why.contains("colder than the head"), "{fault:?}");
    assert!((fault.since_s - run.at(0.5)).abs() < 1500.0, "{fault:?}");
    assert!(spoilt.untrusted.iter().any(|answer| answer.answer == "column"));
    assert_eq!(spoilt.evidence.column, None, "it does not count");
}
