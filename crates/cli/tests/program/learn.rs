//! `middlecut learn`: what runs teach about a still, and where that is kept.

use std::fs;
use std::path::PathBuf;
use std::process::Output;

use serde_json::Value;
use tempfile::TempDir;

use crate::rehearsed::{POT_RUN, write};
use crate::{printed, run, typed};

const STILL: &str = "Wash-house still, pot head";

/// Two runs of one still: the second is the first, a day later and with a longer word about itself.
fn two_runs() -> (TempDir, PathBuf, PathBuf) {
    let out = tempfile::tempdir().expect("a test folder can be made");
    let (one, two) = (out.path().join("one"), out.path().join("two"));
    write(&one, &POT_RUN, None);
    let mut later = POT_RUN.clone();
    "2026-11-29T09:10:00+01:00".clone_into(&mut later.plan.start);
    write(&two, &later, None);
    (out, one, two)
}

fn json(arguments: &[&str]) -> Value {
    let text = printed(&[&["learn", "--json"], arguments].concat());
    serde_json::from_str(&text).expect("--json prints one JSON object")
}

#[test]
fn runs_in_a_row_teach_the_same_as_one_by_one() {
    let (out, one, two) = two_runs();
    let file = |name: &str| out.path().join(name);
    let (first, second, both) = (file("first.json"), file("second.json"), file("both.json"));
    printed(&["learn", typed(&one), "--save", typed(&first)]);
    printed(&["learn", typed(&two), "--from", typed(&first), "--save", typed(&second)]);
    let learned = json(&[typed(&one), typed(&two), "--save", typed(&both)]);
    let read = |path: &PathBuf| fs::read_to_string(path).expect("what was learned was written");
    assert_eq!(read(&second), read(&both));
    assert_ne!(read(&first), read(&both));
    let kept: Value = serde_json::from_str(&read(&both)).expect("JSON");
    assert_eq!(kept, learned["character"]);
    assert_eq!((&learned["still"], &learned["runs"]), (&STILL.into(), &2.into()));
    let beliefs = learned["character"]["beliefs"].as_array().expect("a list");
    assert_eq!(beliefs.len(), 10, "one for each trait");
    assert!(beliefs.iter().all(|belief| belief["sd"].as_f64().is_some_and(|sd| sd > 0.0)));
    for taught in learned["taught"].as_array().expect("a list") {
        let balance = &taught["balance"];
        let litres = |name: &str| balance[name].as_f64().expect("a number");
        // 16 L of 29 % vol.
        assert!((litres("charged_l") - 4.64).abs() < 0.01, "{balance}");
        let open = balance["account"]["not_gauged_l"].as_f64().expect("a number");
        let missing = litres("charged_l") - litres("collected_l") - litres("left_l") - open;
        assert!((missing - litres("missing_l")).abs() < 1e-6, "{balance}");
        let odds: f64 = balance["causes"]
            .as_array()
            .expect("a list")
            .iter()
            .filter_map(|cause| cause["odds"].as_f64())
            .sum();
        assert!((odds - 1.0).abs() < 1e-6, "{balance}");
    }
}

#[test]
fn the_record_keeps_every_lesson_once() {
    let (out, one, two) = two_runs();
    let data = out.path().join("data");
    let learn = |folder: &PathBuf| json(&[typed(folder), "--data", typed(&data)]);
    let first = learn(&one);
    assert_eq!((&first["runs"], &first["kept_in"]), (&1.into(), &typed(&data).into()));
    let again = learn(&one);
    assert_eq!(again["character"], first["character"]);
    assert!(again["taught"].as_array().is_some_and(Vec::is_empty));
    assert_eq!(again["counted_before"], serde_json::json!([typed(&one)]));
    let both = learn(&two);
    assert_eq!(both["runs"], 2);
    let store = store::Store::open_read_only(&data).expect("the record can be read");
    let still = store.still(STILL, false).expect("it is whole").expect("the still is known");
    assert_eq!((still.lessons.len(), still.character.runs()), (2, 2));
    let character = serde_json::to_value(still.character).expect("finite numbers");
    assert_eq!(character, both["character"]);
}

#[test]
fn what_earlier_runs_taught_is_used_by_an_estimate() {
    let (_out, one, two) = two_runs();
    let at = |more: &[&str]| -> Value {
        let text = printed(&[&["estimate", typed(&two), "--at", "5400", "--json"], more].concat());
        serde_json::from_str(&text).expect("JSON")
    };
    let (alone, taught) = (at(&[]), at(&["--learned", typed(&one)]));
    assert_eq!((&alone["learned_runs"], &taught["learned_runs"]), (&0.into(), &1.into()));
    assert_ne!(alone["end_p50"], taught["end_p50"]);
}

#[test]
fn a_person_reads_value_band_and_movement() {
    let (_out, one, two) = two_runs();
    let text = printed(&["learn", typed(&one), typed(&two), "--save", "/dev/null"]);
    assert!(text.starts_with(&format!("{STILL}, as 2 runs show it\n")), "{text}");
    let line = |start: &str| {
        let line = text.lines().find(|line| line.starts_with(start));
        line.unwrap_or_else(|| panic!("no \"{start}\" in:\n{text}"))
    };
    assert!(line("  ").contains("run 1") && line("  ").ends_with("run 2"), "{text}");
    let offset = line("head thermometer reads high by");
    assert!(offset.contains(" K  ") && offset.contains(" to "), "{offset}");
    assert!(line("heat the boiler loses, of what is stated").contains(" %  "), "{text}");
    assert!(line("pure alcohol, L").ends_with("likeliest cause"), "{text}");
    assert!(line(typed(&one)).contains("4.64"), "{text}");
}

#[test]
fn what_cannot_teach_is_refused_and_leaves_nothing() {
    let (out, one, two) = two_runs();
    let path = |name: &str| out.path().join(name);
    let data = path("data");
    let refused = |arguments: &[&str], names: &str| {
        let arguments = [&["learn"], arguments].concat();
        let Output { status, stdout, stderr } = run(&arguments);
        let said = String::from_utf8_lossy(&stderr);
        assert_eq!(status.code(), Some(2), "{arguments:?}: {said}");
        assert!(stdout.is_empty() && said.contains("\nhint: "), "{said}");
        assert!(said.contains(names), "\"{names}\" is not named in: {said}");
        assert!(!data.exists(), "bad input made a record");
    };
    let (one, two, kept) = (typed(&one), typed(&two), typed(&data));
    let with_data = |folders: &[&str], names: &str| {
        refused(&[folders, &["--data", kept]].concat(), names);
    };
    with_data(&[one, one], "too");
    with_data(&[one, "nowhere"], "nowhere");
    refused(&[], "RUN_FOLDER");
    let change = |name: &str, from: &str, to: &str| {
        let dir = path(name);
        let mut other = POT_RUN.clone();
        other.plan.start = "2026-12-24T08:00:00+01:00".to_owned();
        write(&dir, &other, None);
        let text = fs::read_to_string(dir.join("run.toml")).expect("the plan is there");
        assert!(text.contains(from), "{text}");
        fs::write(dir.join("run.toml"), text.replace(from, to)).expect("it can be written");
        dir
    };
    let larger = change("larger", "boiler_litres = 28.0", "boiler_litres = 30.0");
    with_data(&[one, typed(&larger)], "still.boiler_litres is 30");
    let renamed = change("renamed", STILL, "Another still");
    with_data(&[one, typed(&renamed)], "Another still");
    let file = path("known.json");
    for (text, names) in [
        ("", "known.json:1"),
        ("{}", "beliefs"),
        ("{\"beliefs\": [], \"history\": 3}", "known.json:1"),
        (
            "{\"beliefs\": [{\"of\": \"heater\", \"mean\": 0, \"sd\": -1}], \"history\": []}",
            "heater: mean 0, sd -1",
        ),
        (
            "{\"beliefs\": [{\"of\": \"heater\", \"mean\": 0, \"sd\": 1}], \"history\": []}",
            "heater",
        ),
    ] {
        fs::write(&file, text).expect("a test file can be written");
        refused(&[two, "--from", typed(&file)], names);
    }
    refused(&[two, "--from", "nowhere.json"], "nowhere.json");
    refused(&[two, "--from", typed(&file), "--data", kept], "--data");
}
