//! The measured runs of the pilot still as plans and records.

use sense::{Action, JarRecord, RecordedRun};
use still::plan::{Charge, RunPlan, Site, Step, StepKind, Still, StillKind, TakeOff};

/// Derived points, with their source in the README beside them.
const POINTS: &str = include_str!("../../reference/measured/pilot_runs.csv");
/// When the first spirit runs, s: the log begins there, so the heat-up is made up.
const BOIL_S: f64 = 955.0;

/// A run.
pub(crate) struct Measured {
    pub(crate) plan: RunPlan,
    pub(crate) rows: RecordedRun,
}

/// The still as its owner would state it: losses as assumed, three contacts.
fn still() -> Still {
    Still {
        name: "packed pilot".into(),
        kind: StillKind::Column,
        boiler_litres: 50.0,
        head_place: still::plan::HeadPlace::default(),
        heat_source: still::plan::HeatSource::default(),
        elements_watts: vec![2000.0],
        element_cover_litres: 3.0,
        stages: 3.0,
        efficiency: None,
        reflux_c: None,
        vapour_lost: None,
        column_probe_fraction: None,
        holdup_litres: 0.1,
        drum_fraction: 0.2,
        boiler_loss_w_per_k: 6.8,
        column_loss_w_per_k: 0.25,
        metal_kj_per_k: 5.0,
        column_metal_kj_per_k: 1.0,
        pressure_drop_pa_per_stage: 20.0,
        max_takeoff_ml_per_min: 60.0,
    }
}

/// The run of that name.
pub(crate) fn run(name: &str) -> Measured {
    let points: Vec<Vec<f64>> = POINTS
        .lines()
        .filter(|line| line.split(',').next() == Some(name))
        .map(|line| line.split(',').skip(2).map(|cell| cell.parse().expect("a number")).collect())
        .collect();
    assert!(points.len() >= 14, "{name}");
    let mut rows = RecordedRun::default();
    rows.actions.push((0.0, Action::Heater { watts: 1000.0 }));
    rows.actions.push((BOIL_S, Action::Step { kind: StepKind::Hearts }));
    let mut before = [0.0, 0.0, 0.0];
    for (number, point) in (1..).zip(&points) {
        let [ratio, ml, minutes, ethanol_ml] = point[..] else { panic!("{name}") };
        let (start_s, end_s) = (BOIL_S + 60.0 * before[1], BOIL_S + 60.0 * minutes);
        let take_off = TakeOff::RefluxRatio(ratio);
        rows.actions.push((start_s, Action::TakeOff { take_off, measured: false }));
        rows.jars.push(JarRecord {
            number,
            start_s,
            end_s,
            volume_ml: ml - before[0],
            temperature_c: Some(20.0),
            apparent_vol: Some(100.0 * (ethanol_ml - before[2]) / (ml - before[0])),
            cut: Some(StepKind::Hearts),
            note: String::new(),
            gauged_with: None,
        });
        before = [ml, minutes, ethanol_ml];
    }
    Measured { plan: plan(name, points[0][0], before[0]), rows }
}

fn plan(name: &str, reflux_ratio: f64, total_ml: f64) -> RunPlan {
    let hearts = Step {
        reflux_ratio: Some(reflux_ratio),
        until_total_ml: Some(total_ml),
        ..Step::new(StepKind::Hearts)
    };
    RunPlan {
        format: 1,
        title: name.into(),
        start: "2026-01-01T09:00:00+00:00".into(),
        still: still(),
        charge: Charge {
            kind: None,
            litres: 40.0,
            strength_vol: if name == "T2" { 14.0 } else { 10.4 },
            temperature_c: 88.0,
            litres_sd: Some(1.0),
            strength_sd: Some(if name == "T2" { 1.5 } else { 0.5 }),
            congeners_mg_per_l: Some(std::collections::BTreeMap::new()),
            feints: None,
        },
        site: Site {
            pressure_hpa: 950.0,
            ambient_c: 20.0,
            coolant_in_c: 20.0,
            coolant_l_per_min: 0.09,
        },
        steps: vec![
            Step { watts: Some(1000.0), ..Step::new(StepKind::Heat) },
            hearts,
            Step::new(StepKind::Stop),
        ],
    }
}
