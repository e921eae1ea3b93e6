//! What a person reads: words for codes, a unit at every number, ranges, pages of the manual; and
//! what a script reads where something is wrong.

use std::fs;
use std::process::Output;

use serde_json::Value;

use crate::{RUN_TOML, example, printed, run, typed};

/// Codes of causes that no person should read.
const CODES: [&str; 6] =
    ["until_", "filled\n", "element_cover", "pot_dry", "no_vapour", "slow_hearts"];

#[test]
fn a_forecast_is_told_in_words_with_its_range() {
    let run_file = example("perry/run.toml");
    let text = printed(&["forecast", typed(&run_file)]);
    for code in CODES {
        assert!(!text.contains(code), "{code} in\n{text}");
    }
    for words in ["stages filled", "rise of the head", "slow hearts", "(4 in 5)", "h:mm", "% vol"] {
        assert!(text.contains(words), "no \"{words}\" in\n{text}");
    }
    let json: Value =
        serde_json::from_str(&printed(&["forecast", typed(&run_file), "--json"])).unwrap();
    for of in ["hearts_end_s", "hearts_l", "end_s"] {
        let at = |point: &str| json["range"][of][point].as_f64().expect("a number");
        assert!(at("p10") < at("p50") && at("p50") < at("p90"), "{of}: {}", json["range"]);
    }
    assert_eq!(json["steps"][5]["name"], "slow hearts");
}

#[test]
fn a_trigger_that_is_never_reached_is_told_in_words() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("run.toml");
    let plan = RUN_TOML.replacen("until_rise_k = 0.4", "until_rise_k = 0.4\nminutes = 5", 1);
    fs::write(&path, plan).unwrap();
    let text = printed(&["forecast", typed(&path)]);
    assert!(text.contains("ends by its time before what should end it comes"), "{text}");
}

#[test]
fn a_rehearsal_ends_in_words_and_shows_no_codes() {
    let text = printed(&["rehearse", typed(&example("perry/run.toml")), "--seed", "7"]);
    let last = text.lines().last().unwrap_or_default();
    assert!(last.contains("ended by the plan: ") && last.contains(" L at 20 °C drawn"), "{last}");
    for code in ["coolant_on", "hearts_end", "slow_hearts", "first_vapour"] {
        assert!(!text.contains(code), "{code} in\n{text}");
    }
}

#[test]
fn rows_and_drawing_go_to_standard_output_where_the_file_is_a_dash() {
    let text = printed(&["forecast", typed(&example("perry/run.toml")), "--csv", "-"]);
    assert!(text.starts_with("time_s,head_c,"), "{text}");
    let width = text.lines().next().map(|line| line.split(',').count());
    assert!(text.lines().all(|line| Some(line.split(',').count()) == width));
    let drawn = printed(&["forecast", typed(&example("perry/run.toml")), "--svg", "-"]);
    assert!(drawn.starts_with("<svg") && drawn.trim_end().ends_with("</svg>"), "{drawn}");
}

/// The object on standard error; nothing may be on standard output.
fn failure(arguments: &[&str]) -> Value {
    let Output { status, stdout, stderr } = run(arguments);
    assert_eq!(status.code(), Some(2), "{arguments:?}");
    assert!(stdout.is_empty(), "{arguments:?} printed to standard output");
    let said: Value = serde_json::from_slice(&stderr).expect("one JSON object");
    said["error"].clone()
}

#[test]
fn with_json_a_refusal_is_an_object_too() {
    let error = failure(&["liquid", "--vol", "300", "--json"]);
    assert_eq!((&error["field"], &error["value"]), (&"vol".into(), &"300".into()));
    assert!(error["bound"].as_str().unwrap().contains("from 0 to 100 % vol"), "{error}");
    assert!(!error["hint"].as_str().unwrap().is_empty());
    let error = failure(&["--json", "liquid", "--vol", "forty"]);
    assert!(error["message"].as_str().unwrap().contains("forty"), "{error}");
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("run.toml");
    fs::write(&path, RUN_TOML.replacen("boiler_litres = 28.0", "boiler_litres = \"big\"", 1))
        .unwrap();
    let error = failure(&["forecast", typed(&path), "--json"]);
    assert_eq!(error["field"], "still.boiler_litres");
    assert!(error["line"].is_u64() && error["column"].is_u64(), "{error}");
}

#[test]
fn warnings_are_in_the_object_too() {
    let json = |arguments: &[&str]| -> Value { serde_json::from_str(&printed(arguments)).unwrap() };
    let gauged = json(&["gauge", "--reading", "90", "--json"]);
    assert_eq!(gauged["warnings"][0]["code"], "concentrated");
    let wash = json(&["wash", "--litres", "25", "--sugar", "sucrose=9", "--json"]);
    assert_eq!(wash["warnings"][0]["code"], "beyond_usual_yeast");
}

#[test]
fn every_command_has_a_page_of_the_manual() {
    let page = printed(&["man"]);
    assert!(page.contains(".TH middlecut 1") && page.contains("middlecut\\-forecast"), "{page}");
    assert!(printed(&["man", "replay"]).contains("\\-\\-forecasts"));
    let folder = tempfile::tempdir().unwrap();
    printed(&["man", "--dir", typed(folder.path())]);
    let pages = fs::read_dir(folder.path()).unwrap().count();
    assert!(pages >= 18, "{pages} pages");
    assert_eq!(run(&["man", "teapot"]).status.code(), Some(2));
}

#[test]
fn kilograms_and_proof_are_taken_at_the_bench() {
    let json = |arguments: &[&str]| -> Value { serde_json::from_str(&printed(arguments)).unwrap() };
    let litres = |value: &Value| value["litres_20c"].as_f64().expect("a number");
    // OIML R 22: 40 % vol has 948.05 kg/m³; weighed in air 946.99 g.
    let gauged = json(&["gauge", "--reading", "40", "--kg", "0.94699", "--json"]);
    assert!((litres(&gauged["amount"]) - 1.0).abs() < 1e-4, "{gauged}");
    let blended = json(&["blend", "0.94699kg@40", "1@40", "--json"]);
    assert!((litres(&blended) - 2.0).abs() < 1e-4, "{blended}");
    let by_volume = json(&["reduce", "--litres", "1", "--from", "40", "--to", "20", "--json"]);
    let by_mass = json(&["reduce", "--kg", "0.94699", "--from", "40", "--to", "20", "--json"]);
    let near = by_volume["water_kg"].as_f64().unwrap() - by_mass["water_kg"].as_f64().unwrap();
    assert!(near.abs() < 1e-4, "{by_mass}");
    // 27 CFR 5.1: proof is twice the per cent by volume at 60 °F; 79.86 proof is 40 % vol at 20 °C.
    let proof = json(&["blend", "1@79.86proof", "--json"]);
    assert!((proof["strength_vol_20c"].as_f64().unwrap() - 40.0).abs() < 0.01, "{proof}");
    assert_eq!(run(&["reduce", "--from", "40", "--to", "20"]).status.code(), Some(2));
}

const JARS: &str = "jar,start_s,end_s,volume_ml,temperature_c,apparent_vol,cut,note\n\
                    1,0,600,200,20,95,heads,\n2,600,1200,500,20,94,hearts,\n\
                    3,1200,1800,500,20,90,hearts,\n4,1800,2400,300,,,hearts,\n";

#[test]
fn the_gauged_hearts_of_a_run_are_the_parts_of_a_blend() {
    let folder = tempfile::tempdir().unwrap();
    let run_folder = folder.path().join("run");
    fs::create_dir(&run_folder).unwrap();
    fs::write(run_folder.join("run.toml"), RUN_TOML).unwrap();
    fs::write(run_folder.join("actions.csv"), "time_s,action,value,unit,note\n0,heater,3000,W,\n")
        .unwrap();
    fs::write(run_folder.join("jars.csv"), JARS).unwrap();
    let data = folder.path().join("data");
    printed(&["import", typed(&run_folder), "--data", typed(&data)]);
    let typed_parts = printed(&["blend", "0.5@94", "0.5@90"]);
    for from in [["--run", typed(&run_folder)].as_slice(), &["--last", "--data", typed(&data)]] {
        let text = printed(&[["blend"].as_slice(), from].concat());
        for line in typed_parts.lines() {
            assert!(text.contains(line), "no \"{line}\" in\n{text}");
        }
        assert!(text.contains("jar 4 was not gauged and is left out"), "{text}");
    }
    let chosen = printed(&["blend", "--run", typed(&run_folder), "--jars", "3", "0.5@94"]);
    assert!(typed_parts.lines().all(|line| chosen.contains(line)), "{chosen}");
    let none = run(&["blend", "--run", typed(&run_folder), "--jars", "4"]);
    assert_eq!(none.status.code(), Some(2));
}

#[test]
fn a_still_that_was_measured_can_be_put_into_a_run_file() {
    let text = printed(&[
        "still",
        "--boiler",
        "28",
        "--elements",
        "2000,1500",
        "--diameter",
        "50",
        "--height",
        "900",
        "--filling",
        "pieces=4",
        "--column",
        "bare",
        "--metal",
        "copper",
    ]);
    let (before, rest) = RUN_TOML.split_once("[still]").expect("the example has a still");
    let (_, after) = rest.split_once("[charge]").expect("the example has a charge");
    let section = format!("{before}{text}[charge]{after}");
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("run.toml");
    fs::write(&path, section).unwrap();
    printed(&["forecast", typed(&path)]);
    insta::assert_snapshot!("still", text);
}

#[test]
fn every_bench_answer_reads_as_it_did_when_it_was_looked_at() {
    let answers: [(&str, &[&str]); 6] = [
        ("liquid", &["liquid", "--vol", "40"]),
        ("liquid_warm", &["liquid", "--vol", "40", "--at", "27", "--litres", "2"]),
        (
            "gauge",
            &["gauge", "--reading", "104", "--scale", "proof60", "--at", "27", "--kg", "1.8"],
        ),
        ("reduce", &["reduce", "--kg", "1.6", "--from", "184proof", "--to", "80proof"]),
        ("blend", &["blend", "0.35@94.2", "0.28kg@188proof", "1@0"]),
        ("wash", &["wash", "--litres", "25", "--sugar", "sucrose=9"]),
    ];
    for (name, arguments) in answers {
        let text = printed(arguments);
        insta::assert_snapshot!(name, text);
        let mut lines: Vec<&str> = text.lines().collect();
        lines.dedup();
        assert_eq!(lines.len(), text.lines().count(), "a line stands twice in\n{text}");
    }
}

#[test]
fn a_rehearsal_into_a_folder_that_is_not_empty_is_refused_before_it_is_played() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("other.txt"), "mine").unwrap();
    let run_file = example("perry/run.toml");
    let said = run(&["rehearse", typed(&run_file), "--out", typed(folder.path())]);
    assert_eq!(said.status.code(), Some(2));
    assert!(said.stdout.is_empty(), "it was played first");
    assert!(String::from_utf8_lossy(&said.stderr).contains("not empty"));
}

#[test]
fn a_folder_for_a_file_and_a_file_that_is_there_are_told_apart_in_the_hint() {
    let folder = tempfile::tempdir().unwrap();
    let said = |arguments: &[&str]| String::from_utf8_lossy(&run(arguments).stderr).into_owned();
    let given = said(&["forecast", typed(folder.path())]);
    assert!(given.contains("hint: name the file itself"), "{given}");
    let run_file = example("perry/run.toml");
    let within = said(&["replay", typed(&run_file)]);
    assert!(within.contains("hint: name the folder"), "{within}");
}
