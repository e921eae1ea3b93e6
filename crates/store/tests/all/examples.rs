//! The example house: its plans pass, warn of nothing, and the perry run fits into an afternoon.
#![expect(clippy::unwrap_used, reason = "a helper that fails fails its test")]

use std::path::Path;

use still::forecast::{Options, forecast};
use still::outcome::{EndedBy, Forecast};
use still::plan::{StepKind, default_congeners_mg_per_l};

fn example(run: &str) -> Forecast {
    let house = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/hollowbank");
    let plan = store::folder::read_plan(&house.join(run).join("run.toml")).unwrap();
    assert!(!default_congeners_mg_per_l(&plan.charge).is_empty());
    let forecast = forecast(&plan, &Options::default()).unwrap();
    assert!(forecast.warnings.is_empty(), "{:?}", forecast.warnings);
    assert_eq!(forecast.ended_by, EndedBy::Plan);
    assert!(forecast.balance.ethanol_rel.abs() < 1e-9, "{:?}", forecast.balance);
    forecast
}

#[test]
fn regress_the_perry_run_can_be_rehearsed_in_one_sitting() {
    let run = example("perry");
    assert!(run.end_s < 2.75 * 3600.0, "{} s leave no room for a slow attendant", run.end_s);
    let hearts: Vec<_> = run.steps.iter().filter(|step| step.kind == StepKind::Hearts).collect();
    assert_eq!(hearts.len(), 2, "a fast and a slow phase");
    for step in &hearts {
        assert_eq!(step.ended_by, EndedBy::UntilRiseK);
    }
    let minutes = |index: usize| (hearts[index].end_s - hearts[index].start_s) / 60.0;
    assert!((30.0..60.0).contains(&minutes(0)), "{} min", minutes(0));
    assert!(minutes(1) > 15.0, "{} min", minutes(1));
    assert!(run.steps.iter().any(|step| step.kind == StepKind::Tails && step.litres_20c > 0.1));
}

#[test]
fn regress_the_grain_and_the_low_wines_run_go_through() {
    assert!(example("grain").plateau_c.is_some());
    let low_wines = example("low-wines");
    let ended: Vec<_> = low_wines.steps.iter().map(|step| step.ended_by).collect();
    assert_eq!(ended.last(), Some(&EndedBy::UntilStrengthVol));
}
