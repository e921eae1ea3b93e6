//! `middlecut estimate`: what was known then, and nothing that was recorded later.

use std::process::Output;

use serde_json::Value;

use crate::rehearsed::{POT_RUN, hearts_s, with_outcome, write};
use crate::{printed, run, typed};

const LEVELS: [&str; 5] = ["p025", "p10", "p50", "p90", "p975"];

fn json(folder: &str, more: &[&str]) -> Value {
    let text = printed(&[&["estimate", folder, "--json"], more].concat());
    serde_json::from_str(&text).expect("--json prints one JSON object")
}

/// Five quantiles, which must rise.
fn five(object: &Value, name: &str) -> [f64; 5] {
    let five = LEVELS.map(|level| {
        let field = format!("{name}_{level}");
        object[&field].as_f64().unwrap_or_else(|| panic!("{field}: {}", object[&field]))
    });
    assert!(five.windows(2).all(|pair| pair[0] <= pair[1]), "{name}: {five:?}");
    five
}

#[test]
fn nothing_recorded_later_is_used() {
    let out = tempfile::tempdir().expect("a test folder can be made");
    let (start, end) = hearts_s();
    let at_s = (start + 0.5 * (end - start)).floor();
    let mut cut = POT_RUN.clone();
    cut.rows = cut.rows.until(at_s);
    let mut lied = POT_RUN.clone();
    for (time_s, reading) in &mut lied.rows.readings {
        if *time_s > at_s {
            reading.set(sense::Probe::Head, Some(20.0));
        }
    }
    for jar in lied.rows.jars.iter_mut().filter(|jar| jar.end_s > at_s) {
        (jar.apparent_vol, jar.volume_ml) = (Some(12.0), 3.0 * jar.volume_ml);
    }
    assert!(cut.rows.last_s() <= at_s && lied != *POT_RUN && POT_RUN.rows.last_s() > at_s);
    let dirs = [("whole", &*POT_RUN), ("cut", &cut), ("lied", &lied)].map(|(name, folder)| {
        let dir = out.path().join(name).join("run");
        write(&dir, folder, None);
        dir
    });
    for json in [&["--json"][..], &[]] {
        let [whole, cut, lied] = dirs.each_ref().map(|dir| {
            printed(&[&["estimate", typed(dir), "--at", &at_s.to_string()], json].concat())
        });
        assert_eq!(whole, cut, "cut off");
        assert_eq!(whole, lied, "told otherwise later");
    }
}

#[test]
fn both_ends_and_everything_else_is_there() {
    let out = tempfile::tempdir().expect("a test folder can be made");
    let dir = out.path().join("low-wines");
    write(&dir, &with_outcome(), None);
    let (start, end) = hearts_s();
    let known = json(typed(&dir), &["--at", "0.5"]);
    assert_eq!((&known["run"], &known["at_fraction"]), (&"low-wines".into(), &0.5.into()));
    let at_s = (start + 0.5 * (end - start)).floor();
    assert_eq!(known["made_at_s"].as_f64(), Some(at_s));
    for name in ["end", "litres", "plan_end", "plan_litres", "plan_hearts_strength", "step_end"] {
        five(&known, name);
    }
    let further = ["litres_to_come", "strength_now", "strength_so_far", "pot_alcohol"];
    for name in further.iter().chain(&["jars_needed", "stop", "charge_litres", "charge_strength"]) {
        five(&known, name);
    }
    for (short, long) in [
        ("strength_now", "strength_now_p50"),
        ("strength_p10", "strength_now_p10"),
        ("strength_p90", "strength_now_p90"),
        ("charge_litres", "charge_litres_p50"),
        ("charge_strength_vol", "charge_strength_p50"),
    ] {
        assert!(known[short].is_f64() && known[short] == known[long], "{short}");
    }
    for list in ["untrusted", "faults", "would_help"] {
        assert!(known[list].is_array(), "{list}");
    }
    assert!(known["fault"].is_string());
    assert!(known["evidence"]["effective_measurements"].as_f64().is_some_and(|n| n > 5.0));
    // A rehearsed still is our own model: half-way, the likely end must be near the real one.
    let likely = five(&known, "plan_end")[2];
    assert!((likely - end).abs() < 0.15 * (end - start), "{likely} s, but it was {end} s");
    assert_eq!(five(&known, "plan_end"), five(&json(typed(&dir), &["--at", "0.5"]), "plan_end"));
    // The same moment in seconds: all the same, but no share of hearts is known.
    let mut by_second = json(typed(&dir), &["--at", &at_s.to_string()]);
    assert!(by_second["at_fraction"].is_null());
    by_second["at_fraction"] = 0.5.into();
    assert_eq!(by_second, known);
}

#[test]
fn the_truth_is_not_opened_where_seconds_are_given() {
    let out = tempfile::tempdir().expect("a test folder can be made");
    let (bare, spoilt) = (out.path().join("a/run"), out.path().join("b/run"));
    write(&bare, &POT_RUN, None);
    write(&spoilt, &POT_RUN, Some(("outcome.json", "no truth at all")));
    let at = hearts_s().0.to_string();
    let known = [&bare, &spoilt].map(|dir| json(typed(dir), &["--at", &at]));
    assert_eq!(known[0], known[1]);
    let learned = [&bare, &spoilt].map(|dir| {
        let kept = dir.join("../kept");
        printed(&["learn", typed(dir), "--json", "--data", typed(&kept)])
    });
    let character = |text: &str| {
        serde_json::from_str::<serde_json::Value>(text).expect("it is JSON")["character"].clone()
    };
    assert_eq!(character(&learned[0]), character(&learned[1]));
}

#[test]
fn without_the_measurements_the_band_is_wider() {
    let out = tempfile::tempdir().expect("a test folder can be made");
    let dir = out.path().join("run");
    write(&dir, &with_outcome(), None);
    let [with, without] = [&["--at", "0.75"][..], &["--at", "0.75", "--no-update"]].map(|more| {
        let band = five(&json(typed(&dir), more), "plan_litres");
        band[3] - band[1]
    });
    assert!(with < 0.8 * without, "{with} L with, {without} L without");
}

#[test]
fn a_person_reads_the_same_numbers() {
    let out = tempfile::tempdir().expect("a test folder can be made");
    let dir = out.path().join("run");
    write(&dir, &with_outcome(), None);
    let known = json(typed(&dir), &["--at", "0.25"]);
    let text = printed(&["estimate", typed(&dir), "--at", "0.25"]);
    assert!(text.starts_with("Low wines through the pot head\nas known at "), "{text}");
    let row = |label: &str| {
        let line = text.lines().find(|line| line.starts_with(label));
        line.unwrap_or_else(|| panic!("no \"{label}\" in:\n{text}")).to_owned()
    };
    let distrusted = |answer: &str| {
        let list = known["untrusted"].as_array().expect("a list");
        list.iter().any(|one| one["answer"] == answer)
    };
    for (label, name, answer) in [
        ("strength now, % vol", "strength_now", "strength"),
        ("charge, % vol", "charge_strength", "charge"),
    ] {
        let [_, low, likely, high, _] = five(&known, name);
        let line = row(label);
        assert_eq!(line.contains("not known"), distrusted(answer), "{line}");
        if distrusted(answer) {
            continue;
        }
        let told: Vec<f64> = line.split_whitespace().filter_map(|word| word.parse().ok()).collect();
        // One digit here, two there: no further apart than both roundings.
        let same =
            [likely, low, high].iter().zip(&told).all(|(a, b)| (a - b).abs() <= 0.055 + 1e-9);
        assert!(same && told.len() == 5, "{likely} {low} {high} in {line}");
    }
    assert!(text.contains("\nwhat it rests on\n"), "{text}");
}

#[test]
fn moments_and_folders_that_cannot_be_meant_are_refused() {
    let out = tempfile::tempdir().expect("a test folder can be made");
    let path = |name: &str| out.path().join(name);
    write(&path("bare"), &POT_RUN, None);
    write(&path("whole"), &with_outcome(), None);
    write(&path("half"), &POT_RUN, Some(("outcome.json", "{\"hearts_start_s\": 9}")));
    let turned = "{\"hearts_start_s\": 9, \"end_of_hearts_s\": 5}";
    write(&path("turned"), &POT_RUN, Some(("outcome.json", turned)));
    let refused = |name: &str, more: &[&str], names: &str| {
        let dir = path(name);
        let arguments = [&["estimate", typed(&dir)], more].concat();
        let Output { status, stdout, stderr } = run(&arguments);
        let said = String::from_utf8_lossy(&stderr);
        assert_eq!(status.code(), Some(2), "{arguments:?}: {said}");
        assert!(stdout.is_empty() && said.contains("\nhint: "), "{said}");
        assert!(said.contains(names), "\"{names}\" is not named in: {said}");
    };
    refused("bare", &["--at", "-1"], "--at is -1");
    refused("bare", &["--at", "-0.5"], "must not be negative");
    refused("bare", &["--at", "NaN"], "--at");
    refused("bare", &["--at", "soon"], "soon");
    refused("bare", &[], "--at");
    refused("bare", &["--at", "0.5"], "outcome.json");
    refused("half", &["--at", "0.5"], "end_of_hearts_s");
    refused("turned", &["--at", "0.5"], "end_of_hearts_s is 5");
    refused("bare", &["--at", "9000000"], "within an hour after the last row");
    refused("bare", &["--at", "3600", "--seed", "-1"], "--seed");
    refused("nowhere", &["--at", "3600"], "nowhere");
    let whole = path("whole");
    refused("bare", &["--at", "3600", "--learned", typed(&whole)], "which is to be estimated");
    let mut other = POT_RUN.clone();
    (other.plan.start, other.plan.still.boiler_litres) = ("2026-01-01T09:00:00Z".into(), 30.0);
    write(&path("other"), &other, None);
    let other = path("other");
    refused("bare", &["--at", "3600", "--learned", typed(&other)], "still.boiler_litres is 30");
}
