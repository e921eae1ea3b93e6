//! `middlecut calibrate`: values of a still from runs of it, and where they are kept.

use std::path::{Path, PathBuf};
use std::process::Output;

use sense::{Action, JarRecord, RecordedRun};
use serde_json::Value;
use still::forecast::{Options, forecast};
use still::plan::{Still, TakeOff};
use store::folder::RunFolder;
use tempfile::TempDir;

use crate::{example, printed, run, typed};

/// Jars of so many litres.
const JAR_L: f64 = 0.25;

/// A run of the example's still that loses more than it states, at one reflux ratio from its first
/// drawing step to the end.
fn made(dir: &Path, ratio: f64) {
    let mut plan = store::folder::read_plan(&example("perry/run.toml")).expect("it is whole");
    // Few stages are simulated soonest.
    plan.still.stages = 4.0;
    let stated = plan.still.clone();
    let first = plan.steps.iter().position(|step| step.kind.draws()).expect("it draws");
    plan.steps.truncate(first + 1);
    let step = &mut plan.steps[first];
    *step = still::plan::Step::new(still::plan::StepKind::Hearts);
    (step.reflux_ratio, step.until_strength_vol) = (Some(ratio), Some(40.0));
    plan.steps.push(still::plan::Step::new(still::plan::StepKind::Stop));
    plan.title = format!("reflux {ratio}");
    plan.still = Still {
        column_loss_w_per_k: 3.0 * stated.column_loss_w_per_k,
        vapour_lost: Some(0.05),
        ..stated.clone()
    };
    let options = Options { row_every_s: Some(20.0), ..Options::default() };
    let outcome = forecast(&plan, &options).expect("it can be forecast");
    let mut rows = RecordedRun::default();
    for (index, step) in outcome.steps.iter().enumerate() {
        let watts = plan.step_power(index).watts();
        rows.actions.push((step.start_s, Action::Heater { watts }));
        rows.actions.push((step.start_s, Action::Step { kind: step.kind }));
        if step.kind.draws() {
            let take_off = TakeOff::RefluxRatio(ratio);
            rows.actions.push((step.start_s, Action::TakeOff { take_off, measured: false }));
        }
    }
    let start_s = outcome.steps[first].start_s;
    let mut before = (start_s, 0.0, 0.0);
    for row in outcome.rows.iter().filter(|row| row.time_s > start_s) {
        let (litres, alcohol_l) = (row.collected_l - before.1, row.pure_alcohol_l - before.2);
        if litres < JAR_L {
            continue;
        }
        rows.jars.push(JarRecord {
            number: u32::try_from(rows.jars.len() + 1).expect("a few jars"),
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
    plan.still = stated;
    store::folder::write(dir, &RunFolder::new(plan, rows)).expect("a run folder can be written");
}

fn two_runs() -> (TempDir, PathBuf, PathBuf) {
    let out = tempfile::tempdir().expect("a test folder can be made");
    let (one, two) = (out.path().join("one"), out.path().join("two"));
    made(&one, 1.0);
    made(&two, 3.0);
    (out, one, two)
}

#[test]
fn values_are_shown_kept_and_taken_by_a_later_forecast() {
    let (out, one, two) = two_runs();
    let data = out.path().join("data");
    let folders = [typed(&one), typed(&two)];
    let text = printed(&[&["calibrate"], &folders[..]].concat());
    for words in [
        "2 runs fitted together",
        "heat lost by column and head",
        "What should tell most next:",
        "column_loss_w_per_k = ",
        "not kept: --store",
    ] {
        assert!(text.contains(words), "no \"{words}\" in:\n{text}");
    }
    assert!(!data.exists(), "nothing was to be kept");
    let kept = ["--json", "--store", "--data", typed(&data)];
    let text = printed(&[&["calibrate"], &folders[..], &kept[..]].concat());
    let found: Value = serde_json::from_str(&text).expect("--json prints one JSON object");
    assert_eq!(found["values"].as_array().map(Vec::len), Some(6), "{found}");
    assert_eq!(found["kept_in"], typed(&data));
    let runs = found["runs"].as_array().expect("a list");
    assert!(runs.iter().all(|run| run["left_out"]["end_percent"].is_number()), "{found}");
    let toml = two.join("run.toml");
    let litres = |further: &[&str]| {
        let text = printed(&[&["forecast", "--json", typed(&toml)], further].concat());
        let forecast: Value = serde_json::from_str(&text).expect("JSON");
        forecast["totals"]["litres_20c"].as_f64().expect("a number")
    };
    let (stated, calibrated) = (litres(&[]), litres(&["--calibrated", "--data", typed(&data)]));
    assert!(calibrated < 0.99 * stated, "{calibrated} of {stated} L");
}

#[test]
fn what_cannot_be_calibrated_is_refused_with_a_hint() {
    let (out, one, two) = two_runs();
    let data = out.path().join("data");
    let refused = |arguments: &[&str], names: &str| {
        let Output { status, stdout, stderr } = run(arguments);
        let said = String::from_utf8_lossy(&stderr);
        assert_eq!(status.code(), Some(2), "{arguments:?}: {said}");
        assert!(stdout.is_empty() && said.contains("\nhint: "), "{said}");
        assert!(said.contains(names), "\"{names}\" is not named in: {said}");
    };
    let (one, two) = (typed(&one), typed(&two));
    refused(&["calibrate", one], "1 runs");
    refused(&["calibrate", one, one], "too");
    refused(&["calibrate", one, two, "--residue", "3=10"], "--residue");
    refused(&["calibrate", one, two, "--residue", "1=900"], "residue of 900 L");
    refused(&["calibrate", one, two, "--residue", "1"], "residue");
    store::Store::open(&data).expect("a record can be made");
    let toml = Path::new(one).join("run.toml");
    let asked = ["forecast", typed(&toml), "--calibrated", "--data", typed(&data)];
    refused(&asked, "nothing was calibrated");
}
