//! Every command answers with the fields it promises, reads numbers as people type them, and its
//! documented examples run.

use std::fs;
use std::io::Read;
use std::process::Stdio;

use serde_json::Value;

use crate::{example, printed, program, run, typed};

fn json(arguments: &[&str]) -> Value {
    let mut arguments = arguments.to_vec();
    arguments.push("--json");
    serde_json::from_str(&printed(&arguments)).expect("--json prints one JSON object")
}

/// The object has every field, each a number.
fn has_numbers(object: &Value, fields: &[&str]) {
    for field in fields {
        assert!(object[field].is_f64() || object[field].is_i64(), "{field}: {object}");
    }
}

#[test]
fn bench_commands_print_the_fields_they_promise() {
    has_numbers(
        &json(&["liquid", "--vol", "40"]),
        &[
            "strength_vol_20c",
            "mass_percent",
            "mole_fraction",
            "proof_60f",
            "density_kg_m3",
            "density_20c_kg_m3",
            "litres_at_t_per_litre_20c",
            "boiling_c",
            "vapour_mole_fraction",
            "vapour_strength_vol",
        ],
    );
    has_numbers(
        &json(&["gauge", "--reading", "52.4", "--at", "27"]),
        &["strength_vol_20c", "strength_sd", "mass_percent", "proof_60f", "density_20c_kg_m3"],
    );
    has_numbers(
        &json(&["reduce", "--litres", "2", "--from", "92", "--to", "42"]),
        &[
            "water_kg",
            "water_l_20c",
            "product_l_20c",
            "contraction_percent",
            "warming_k",
            "naive_water_l",
        ],
    );
    has_numbers(
        &json(&["blend", "0.35@94.2", "1@0"]),
        &["litres_20c", "strength_vol_20c", "pure_alcohol_l", "mass_kg", "contraction_percent"],
    );
    has_numbers(
        &json(&["wash", "--litres", "25", "--sugar", "sucrose=3", "dextrose=2"]),
        &[
            "original_gravity",
            "plato",
            "final_gravity",
            "strength_vol",
            "pure_alcohol_l",
            "pure_alcohol_l_low",
            "pure_alcohol_l_high",
            "co2_kg",
        ],
    );
}

#[test]
fn xval_reduction_worked_in_the_gauging_example() {
    // Mass balance with the densities of OIML R 22, worked by hand: 1 L of 70 % vol to 40 % vol
    // at 20 °C takes 0.7735 kg of water, makes 1.7500 L and loses 0.0249 L.
    let reduced = json(&["reduce", "--litres", "1", "--from", "70", "--to", "40"]);
    let near = |field: &str, value: f64, tolerance: f64| {
        let found = reduced[field].as_f64().expect("a number");
        assert!((found - value).abs() <= tolerance, "{field} {found} {value}");
    };
    near("water_kg", 0.7735, 5e-5);
    near("water_l_20c", 0.7749, 5e-5);
    near("product_l_20c", 1.75, 5e-5);
    near("contraction_percent", 100.0 * 0.0249 / 1.7749, 5e-3);
}

#[test]
fn a_decimal_comma_and_the_defaults_are_understood() {
    let comma = printed(&["gauge", "--reading", "52,4", "--at", "27,0", "--json"]);
    let point = printed(&["gauge", "--reading", "52.4", "--at", "27", "--json"]);
    assert_eq!(comma, point);
    let all = ["liquid", "--vol", "40", "--at", "20", "--pressure", "1013.25"];
    assert_eq!(printed(&["liquid", "--vol", "40"]), printed(&all));
    let deviations = ["--scale", "vol20", "--reading-sd", "0.1", "--at-sd", "0.2"];
    let named = [["gauge", "--reading", "40"].as_slice(), &deviations].concat();
    assert_eq!(printed(&["gauge", "--reading", "40"]), printed(&named));
    assert!(printed(&["liquid", "--vol", "40", "--at", "-5"]).contains("at -5 °C"));
}

#[test]
fn a_forecast_prints_and_writes_what_it_promises() {
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let (csv, svg) = (folder.path().join("f.csv"), folder.path().join("f.svg"));
    let run_file = example("perry/run.toml");
    let arguments = ["forecast", typed(&run_file), "--csv", typed(&csv), "--svg", typed(&svg)];
    let forecast = json(&arguments);
    has_numbers(&forecast, &["heat_up_min", "coolant_on_min", "plateau_c"]);
    let totals = ["litres_20c", "pure_alcohol_l", "left_in_pot_l", "energy_kwh", "coolant_l"];
    has_numbers(&forecast["totals"], &totals);
    for part in ["ethanol_rel", "total_rel"] {
        let balance = forecast["balance"][part].as_f64().expect("a number");
        assert!(balance.abs() <= 1e-9, "{part} {balance}");
    }
    assert!(forecast["warnings"].is_array());
    let steps = forecast["steps"].as_array().expect("a list");
    assert_eq!(steps[0]["do"], "heat");
    assert_eq!(steps[0]["ended_by"], "filled");
    assert!(steps.iter().all(|step| step["do"] != "stop"));
    let hearts = steps.iter().find(|step| step["do"] == "hearts").expect("hearts are drawn");
    has_numbers(hearts, &["start_s", "end_s", "litres_20c", "strength_vol", "pure_alcohol_l"]);
    assert!(hearts["congeners_g_per_hl_pa"]["methanol"].is_f64());

    let text = fs::read_to_string(csv).expect("the CSV was written");
    let mut lines = text.lines();
    let header = lines.next().expect("a header");
    assert!(header.starts_with(
        "time_s,head_c,pot_c,top_stage_vol,distillate_vol,collected_l,pure_alcohol_l,v0_mol_s,\
         vn_mol_s,pot_x_ethanol,mg_methanol,"
    ));
    let first = lines.next().expect("a first row");
    assert!(first.starts_with("0,") && first.contains(",,,0,0,"), "{first}");
    assert!(lines.all(|line| line.split(',').count() == header.split(',').count()));
    let drawing = fs::read_to_string(svg).expect("the drawing was written");
    assert!(drawing.starts_with("<svg") && drawing.contains("hearts"));
}

#[test]
fn warnings_leave_the_exit_code_alone() {
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let path = folder.path().join("run.toml");
    let full = crate::RUN_TOML.replacen("litres = 20.0", "litres = 26.0", 1);
    fs::write(&path, full).expect("the test folder can be written");
    let forecast = json(&["forecast", typed(&path)]);
    let codes: Vec<_> = forecast["warnings"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|warning| warning["code"].as_str().expect("text"))
        .collect();
    assert!(codes.contains(&"charge_over_fill"), "{codes:?}");
    assert!(printed(&["forecast", typed(&path)]).contains("warning: "));
}

#[test]
fn a_rehearsal_says_everything_an_event_must_say() {
    let run_file = example("perry/run.toml");
    let heard = json(&["rehearse", typed(&run_file), "--seed", "7"]);
    let events = heard["events"].as_array().expect("a list");
    assert!(!events.is_empty());
    for event in events {
        has_numbers(event, &["time_s"]);
        for field in ["kind", "code", "priority", "text", "how_sure", "do"] {
            assert!(event[field].is_string(), "{field}: {event}");
        }
        assert!(event["within_s"].is_null() || event["within_s"].is_f64(), "{event}");
    }
    let end = &heard["end"];
    has_numbers(end, &["time_s", "litres_20c", "pure_alcohol_l"]);
    assert!(end["ended_by"].is_string());
    assert_eq!(heard, json(&["rehearse", typed(&run_file), "--seed", "7"]), "a seed repeats");
}

#[test]
fn help_and_completions_go_to_standard_output() {
    assert!(printed(&["--help"]).contains("Example"));
    assert!(printed(&["reduce", "--help"]).contains("middlecut reduce --litres"));
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        assert!(printed(&["completions", shell]).contains("middlecut"), "{shell}");
    }
    let document: Value = serde_json::from_str(&printed(&["openapi"])).expect("JSON");
    assert!(document["openapi"].as_str().is_some_and(|version| version.starts_with("3.1")));
}

#[test]
fn a_reader_that_goes_away_is_no_error() {
    let mut child = program()
        .args(["completions", "bash"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program can be started");
    drop(child.stdout.take());
    let mut said = String::new();
    let mut stderr = child.stderr.take().expect("stderr is piped");
    stderr.read_to_string(&mut said).expect("errors are UTF-8");
    let status = child.wait().expect("the program ends");
    assert!(status.success() && said.is_empty(), "{status}: {said}");
}

#[test]
fn what_the_readme_shows_runs() {
    let here = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let readme = fs::read_to_string(here.join("README.md")).expect("there is a README");
    let examples = example("..").canonicalize().expect("the examples are there");
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let needs_record = ["serve", "verify", "backup", "restore", "export", "replay", "import"];
    let mut count = 0;
    for line in readme.lines().filter(|line| line.starts_with("middlecut ")) {
        let line = line.replacen("examples", typed(&examples), 1);
        let arguments: Vec<&str> = line.split(' ').skip(1).collect();
        if !needs_record.contains(&arguments[0]) {
            let output = program().args(&arguments).current_dir(folder.path()).output();
            let output = output.expect("the program can be started");
            let said = String::from_utf8_lossy(&output.stderr);
            assert!(output.status.success(), "{line}: {said}");
            count += 1;
        }
    }
    assert!(count >= 7, "only {count} commands in the README were run");
}

#[test]
fn a_record_goes_out_and_comes_back() {
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let path = |name: &str| typed(&folder.path().join(name)).to_owned();
    let write = |name: &str, text: &str| fs::write(path(name), text);
    fs::create_dir(path("run")).expect("the test folder can be written");
    write("run/run.toml", crate::RUN_TOML).expect("the test folder can be written");
    let actions = "time_s,action,value,unit,note\n0,heater,3000,W,\n120,here,,,\n";
    write("run/actions.csv", actions).expect("the test folder can be written");
    let readings = "time_s,head_c,pot_c\n0,17,18\n60,17,20.5\n";
    write("run/readings.csv", readings).expect("the test folder can be written");
    let data = path("data");
    let imported = json(&["import", &path("run"), "--data", &data]);
    let id = imported["run"].as_str().expect("an id");
    printed(&["export", id, &path("out"), "--data", &data]);
    let same = |name: &str| {
        let read = |from: &str| fs::read_to_string(path(&format!("{from}/{name}"))).expect(name);
        (read("run"), read("out"))
    };
    let (before, after) = same("readings.csv");
    assert_eq!(before.lines().count(), after.lines().count(), "{after}");
    assert!(after.contains("20.5"), "{after}");
    let replayed = |from: &str| json(&["replay", &path(from)]);
    assert_eq!(replayed("run"), replayed("out"));
    let verified = json(&["verify", "--data", &data]);
    assert_eq!(verified["ok"], true);
    printed(&["print", id, &path("sheet.html"), "--data", &data]);
    let sheet = fs::read_to_string(path("sheet.html")).expect("a sheet");
    let digest = verified["digest"].as_str().expect("a digest");
    assert!(sheet.starts_with("<!doctype html>") && sheet.contains(digest), "{sheet}");
    assert_eq!(json(&["verify", "--data", &data]), verified, "printing writes nothing");
    for (id, file) in [(id, "sheet.html"), ("no-such-run", "other.html")] {
        let refused = run(&["print", id, &path(file), "--data", &data]);
        assert_eq!(refused.status.code(), Some(2), "{id} {file}");
    }
    printed(&["backup", &path("copy.sqlite"), "--data", &data]);
    let again = run(&["backup", &path("copy.sqlite"), "--data", &data]);
    assert!(!again.status.success(), "a backup is never written over");
    let over = run(&["export", id, &path("out"), "--data", &data]);
    assert_eq!(over.status.code(), Some(2), "a folder is never written over");
    let state = ["instruments", "state", "Shed column"];
    printed(&[state.as_slice(), &["head_c", "--name", "long probe", "--data", &data]].concat());
    let all = json(&["instruments", "list", "--data", &data]);
    assert_eq!((&all[0]["still"], &all[0]["name"]), (&"Shed column".into(), &"long probe".into()));
    let wrong = run(&[state.as_slice(), &["head", "--name", "x", "--data", &data]].concat());
    assert!(String::from_utf8_lossy(&wrong.stderr).contains("column_c"), "{wrong:?}");
}
