//! Held to runs that were measured: `reference/measured/README.md` says where they come from.

mod flask;
mod made_up;
mod never;
mod pilot;

use estimate::{
    CalibrateError, Calibration, FinishedRun, Parameter, Said, Value, calibrate, predict,
};
use pilot::Measured;
use still::plan::{Filling, Measured as Sizes, Metal, OwnStill, StillKind};
use still::{Cancel, StillError};

/// Runs of the pilot at three duties of its condenser, two at the first.
const DUTIES: [&str; 4] = ["Q2", "Q4", "Q5", "Q8"];

pub(crate) fn finished(run: &Measured) -> FinishedRun<'_> {
    FinishedRun { plan: &run.plan, rows: &run.rows, residue: None }
}

fn together(names: &[&str]) -> Calibration {
    let runs: Vec<Measured> = names.iter().map(|name| pilot::run(name)).collect();
    let given: Vec<FinishedRun<'_>> = runs.iter().map(finished).collect();
    calibrate(&given, &Said::default(), &Cancel::never()).expect("they can be fitted")
}

pub(crate) fn value(found: &Calibration, of: Parameter) -> &Value {
    found.values.iter().find(|value| value.of == of).expect("it is looked for")
}

#[test]
fn val_each_run_of_the_pilot_follows_from_the_others() {
    // doi 10.1109/ACCESS.2022.3197604. One run repeats to 1.5 % vol, and Q2 is the one that is weaker
    // than its twin Q4 at the same duty: by 2 % vol over all of it. What the others foretell of it is
    // held to that, all else to 2.0 % vol, 6 % of the time and 3 % of the alcohol.
    let found = together(&["Q2", "Q4", "Q5", "Q8", "T2"]);
    for (name, run) in DUTIES.iter().zip(&found.runs) {
        let out = run.left_out.as_ref().unwrap();
        let (rms, alcohol) = (out.strength_rms_vol.unwrap(), out.alcohol_percent.unwrap());
        let (rms_most, alcohol_most) = if *name == "Q2" { (3.0, 4.0) } else { (2.0, 3.0) };
        assert!(rms <= rms_most, "{name}: {rms} % vol");
        assert!(out.end_percent.abs() <= 6.0, "{name}: {} %", out.end_percent);
        assert!(alcohol.abs() <= alcohol_most, "{name}: {alcohol} %");
    }
    // Its charge is not stated, so it is no run to be foretold; with a charge fitted it is one to be
    // followed through all its steps of the duty.
    let steps = &found.runs[4].fitted;
    assert!(steps.strength_rms_vol.unwrap() <= 2.0, "{steps:?}");
    assert!(steps.end_percent.abs() <= 6.0, "{steps:?}");
    assert!(steps.alcohol_percent.unwrap().abs() <= 3.0, "{steps:?}");
}

#[test]
fn val_two_losses_are_told_apart_by_runs_at_different_reflux() {
    // A fit by others of the same runs, without vapour lost, has 4.8 W/K at column and head, 1.8 W/K
    // at the boiler and an efficiency of 0.68; stated were 0.25 and 6.8 W/K.
    let found = together(&DUTIES);
    let column = value(&found, Parameter::ColumnLoss);
    let boiler = value(&found, Parameter::BoilerLoss);
    assert!((3.2..5.3).contains(&column.value.p50), "{column:?}");
    assert!((1.3..2.5).contains(&boiler.value.p50), "{boiler:?}");
    assert!(column.told && boiler.told, "{found:?}");
    assert!(value(&found, Parameter::Efficiency).told);
    assert!(!value(&found, Parameter::ChargeStrength).told, "no charge was gauged twice");
    let (agree, starts) = found.starts_agree;
    assert!(agree >= 2 && starts == 5, "{agree} of {starts}");
}

#[test]
fn val_twins_tell_less_than_runs_at_different_reflux() {
    let twins = together(&["Q2", "Q4"]);
    let apart = together(&["Q4", "Q8"]);
    let left = |found: &Calibration| value(found, Parameter::Efficiency).spread_left;
    assert!(left(&apart) < 0.8 * left(&twins), "{} {}", left(&apart), left(&twins));
    let told = |found: &Calibration, text: &str| {
        found.next.iter().find(|next| next.text == text).unwrap().variance_less
    };
    let again = "the last run once more";
    // After twins, another reflux should tell more than a third of the same.
    assert!(told(&twins, "at twice the reflux") > told(&twins, again));
    let weighed = "the last run once more, its residue measured and gauged";
    assert!(told(&twins, weighed) > told(&twins, again));
}

#[test]
fn the_same_runs_give_the_same_values() {
    let (one, two) = (together(&["Q4", "Q8"]), together(&["Q4", "Q8"]));
    assert_eq!(one, two);
    assert!(one.simulations < 4_000, "{}", one.simulations);
}

#[test]
fn what_cannot_be_calibrated_is_refused_by_name() {
    let run = pilot::run("Q4");
    let one = calibrate(&[finished(&run)], &Said::default(), &Cancel::never());
    assert!(matches!(one, Err(CalibrateError::Runs { got: 1, .. })));
    let mut bare = pilot::run("Q8");
    bare.rows.jars.truncate(2);
    let given = [finished(&run), finished(&bare)];
    let few = calibrate(&given, &Said::default(), &Cancel::never());
    assert!(matches!(few, Err(CalibrateError::Jars { run: 2, got: 2, .. })));
    let mut over = finished(&run);
    over.residue = Some(estimate::Residue { litres: 41.0, strength_vol: None });
    let over = calibrate(&[over, finished(&run)], &Said::default(), &Cancel::never());
    assert!(matches!(over, Err(CalibrateError::Residue { run: 1, .. })));
    let stop = Cancel::new();
    stop.cancel();
    let stopped = calibrate(&[finished(&run), finished(&run)], &Said::default(), &stop);
    assert!(matches!(stopped, Err(CalibrateError::Still(StillError::Cancelled { .. }))));
}

#[test]
fn val_the_owners_statement_foretells_with_the_walls_described() {
    // No run is known: bare column and head of 50 mm and 1.2 m (the rig's sizes are not stated), a
    // wrapped boiler, three contacts, 10.4 % vol, and 8 % of the vapour lost as of any small open rig.
    for metal in [Metal::Steel, Metal::Copper] {
        let sizes = Sizes {
            diameter_mm: Some(50.0),
            height_mm: Some(1200.0),
            column_probe_mm: None,
            filling: Some(Filling::Knitted),
            column_lagged: Some(false),
            boiler_lagged: Some(true),
            metal: Some(metal),
        };
        let own =
            OwnStill { kind: StillKind::Column, boiler_litres: 50.0, elements_watts: vec![2000.0] };
        let (derived, _) = own.derive("packed pilot", &sizes);
        for name in DUTIES {
            let mut run = pilot::run(name);
            run.plan.still.column_loss_w_per_k = derived.column_loss_w_per_k;
            run.plan.still.boiler_loss_w_per_k = derived.boiler_loss_w_per_k;
            run.plan.still.vapour_lost = Some(0.08);
            let told = predict(&finished(&run), &Cancel::never()).unwrap();
            assert!(told.end_percent.abs() <= 12.0, "{name} {metal:?}: {told:?}");
            assert!(told.alcohol_percent.unwrap().abs() <= 8.0, "{name} {metal:?}: {told:?}");
        }
    }
}
