//! Runs made by the forecast of a still that is known: what made them must be found again.

use std::cell::RefCell;

use estimate::{FinishedRun, Parameter, Residue, Said, calibrate, calibrate_telling};
use sense::{Action, Amount, JarRecord, RecordedRun, Vessel, VesselRecord};
use still::Cancel;
use still::forecast::{Options, forecast};
use still::plan::{Still, TakeOff};

use super::pilot::{self, Measured};
use super::{finished, value};

/// Jars of so many litres.
const JAR_L: f64 = 0.25;

/// The still that makes the runs.
fn truth(still: &Still) -> Still {
    Still {
        efficiency: Some(0.7),
        vapour_lost: Some(0.05),
        column_probe_fraction: None,
        boiler_loss_w_per_k: 2.5,
        column_loss_w_per_k: 3.0,
        ..still.clone()
    }
}

/// A run of it at a reflux ratio, and what is left in its boiler.
fn made(ratio: f64) -> (Measured, Residue) {
    let stated = pilot::run("Q4").plan;
    let mut plan = stated.clone();
    plan.still = truth(&plan.still);
    plan.steps[1].reflux_ratio = Some(ratio);
    let outcome = forecast(&plan, &Options { row_every_s: Some(30.0), ..Options::default() })
        .expect("the made-up run works");
    let start_s = outcome.steps[0].end_s;
    let mut rows = RecordedRun::default();
    rows.actions.push((0.0, Action::Heater { watts: 1000.0 }));
    let take_off = TakeOff::RefluxRatio(ratio);
    rows.actions.push((start_s, Action::TakeOff { take_off, measured: false }));
    let mut before = (start_s, 0.0, 0.0);
    for row in outcome.rows.iter().filter(|row| row.time_s > start_s) {
        if row.collected_l - before.1 < JAR_L {
            continue;
        }
        let (litres, alcohol_l) = (row.collected_l - before.1, row.pure_alcohol_l - before.2);
        rows.jars.push(JarRecord {
            number: u32::try_from(rows.jars.len() + 1).expect("the made-up run works"),
            start_s: before.0,
            end_s: row.time_s,
            volume_ml: 1000.0 * litres,
            temperature_c: Some(20.0),
            apparent_vol: Some(100.0 * alcohol_l / litres),
            cut: None,
            note: String::new(),
            gauged_with: None,
        });
        before = (row.time_s, row.collected_l, row.pure_alcohol_l);
    }
    let totals = &outcome.totals;
    let residue =
        Residue { litres: totals.left_in_pot_l, strength_vol: Some(totals.left_in_pot_vol) };
    let mut stated = stated;
    stated.title = format!("reflux {ratio}");
    (Measured { plan: stated, rows }, residue)
}

#[test]
fn prop_the_values_that_made_the_runs_are_found_again() {
    let made: Vec<(Measured, Residue)> = [0.3, 1.0, 2.0].into_iter().map(made).collect();
    let plain: Vec<FinishedRun<'_>> = made.iter().map(|(run, _)| finished(run)).collect();
    let told = RefCell::new(Vec::new());
    let tell = |done: usize, of: usize| told.borrow_mut().push((done, of));
    let found = calibrate_telling(&plain, &Said::default(), &Cancel::never(), &tell).unwrap();
    // How far it is goes up part by part to the last; more stages begin it anew.
    let told = told.into_inner();
    let last = told.iter().rposition(|one| one.0 == 0).unwrap();
    let expected: Vec<(usize, usize)> =
        (0..=told[last].1).map(|done| (done, told[last].1)).collect();
    assert_eq!(told[last..], expected);
    let near = |of: Parameter, truth: f64, share: f64| {
        let value = value(&found, of).value;
        assert!((value.p50 / truth - 1.0).abs() <= share, "{of:?}: {value:?}");
        // Twice the 80 % band holds 99 times in 100.
        let twice = value.p90 - value.p10;
        assert!((value.p50 - truth).abs() <= twice, "{of:?}: {value:?}");
    };
    near(Parameter::ColumnLoss, 3.0, 0.1);
    near(Parameter::BoilerLoss, 2.5, 0.2);
    near(Parameter::Efficiency, 0.7, 0.1);
    for run in &found.runs {
        let out = run.left_out.as_ref().unwrap();
        assert!(out.strength_rms_vol.unwrap() < 1.0, "{out:?}");
        assert!(out.end_percent.abs() < 3.0, "{out:?}");
    }
    let weighed: Vec<FinishedRun<'_>> = made
        .iter()
        .map(|(run, residue)| FinishedRun { residue: Some(*residue), ..finished(run) })
        .collect();
    let surer = calibrate(&weighed, &Said::default(), &Cancel::never()).unwrap();
    let left = |found| value(found, Parameter::VapourLost).spread_left;
    assert!(left(&surer) < left(&found), "{} {}", left(&surer), left(&found));
}

#[test]
fn prop_buckets_of_a_residue_are_one_residue() {
    let bucket = |litres: f64, apparent_vol: Option<f64>| {
        let (amount, celsius) = (Amount::Litres(litres), Some(20.0));
        let vessel = Vessel::Residue;
        (9000.0, Action::Vessel(VesselRecord { vessel, amount, apparent_vol, celsius }))
    };
    let of = |actions: Vec<(f64, Action)>| {
        Residue::recorded(&RecordedRun { actions, ..RecordedRun::default() })
    };
    assert_eq!(of(vec![(0.0, Action::Here)]), None);
    let both = of(vec![bucket(10.0, Some(1.0)), bucket(5.0, Some(4.0))]).unwrap();
    assert!((both.litres - 15.0).abs() < 1e-9, "{both:?}");
    assert!((both.strength_vol.unwrap() - 2.0).abs() < 1e-6, "{both:?}");
    let one_unread = of(vec![bucket(10.0, Some(1.0)), bucket(5.0, None)]).unwrap();
    assert_eq!(one_unread.strength_vol, None);
}
