//! `middlecut ferment`: a wash up to a moment, nothing after it, and what is refused by name.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::{run, typed};

const WASH: &str = "format = 1\ntitle = \"Sugar wash\"\nkind = \"sugar\"\nlitres = 25.0\n\
[[fermentable]]\nname = \"sucrose\"\nkg = 4.5\n[yeast]\nkind = \"wine\"\ngrams = 25\n\
[[nutrient]]\nat_h = 0.0\nname = \"DAP\"\ngrams = 25\nyan_mg_per_g = 212\n[buffer]\nname = \"chalk\"\n\
[room]\nambient_c = 22.0\ninsulated = false\n[reading]\nhydrometer_true_at_c = 20.0\nhydrometer_step = 0.001\n";
const READINGS: &str = "time_h,gravity,temperature_c,weight_kg,ph,note\n0.1,1.067,26,,,\n24,1.058,27,,,\n\
48,1.036,27,,,\n72,1.042,26,,,\n96,1.005,26,,,\n";
const ACTIONS: &str = "time_h,action,value,unit,note\n0,pitch,25,g,\n0,nutrient,25,g,DAP\n";

fn folder(wash: &str, readings: &str, actions: &str) -> tempfile::TempDir {
    let dir = tempfile::tempdir().expect("a folder");
    fs::write(dir.path().join("wash.toml"), wash).expect("a folder");
    fs::write(dir.path().join("readings.csv"), readings).expect("a folder");
    fs::write(dir.path().join("actions.csv"), actions).expect("a folder");
    dir
}

fn forecast(dir: &Path, at: &str) -> Vec<u8> {
    let output = run(&["ferment", typed(dir), "--at", at, "--json"]);
    assert!(output.status.success(), "{output:?}");
    output.stdout
}

#[test]
fn nothing_after_the_moment_is_known_and_a_wrong_reading_is_doubted() {
    let dir = folder(WASH, READINGS, ACTIONS);
    let cut = forecast(dir.path(), "96");
    let later = format!("{READINGS}97,not a number,,,,\n12,,,,\n");
    fs::write(dir.path().join("readings.csv"), later).unwrap();
    fs::write(dir.path().join("actions.csv"), format!("{ACTIONS}96.5,yeast,500,g,\n")).unwrap();
    fs::write(dir.path().join("outcome.json"), "no JSON").unwrap();
    assert_eq!(cut, forecast(dir.path(), "96"), "rows after the moment change nothing");
    let json: Value = serde_json::from_slice(&cut).unwrap();
    let doubted = json["doubted"].as_array().unwrap();
    assert!(doubted.iter().any(|row| row["time_h"] == 72.0), "{json}");
    assert_eq!(json["state"], "working", "{json}");
    let five = ["p025", "p10", "p50", "p90", "p975"];
    for field in ["end_h", "final_gravity", "final_strength_vol", "pure_alcohol_l"] {
        let values: Vec<f64> = five.iter().map(|q| json[field][q].as_f64().unwrap()).collect();
        assert!(values.is_sorted(), "{field}: {values:?}");
    }
    let strength = json["final_strength_vol"]["p50"].as_f64().unwrap();
    assert!((8.0..12.0).contains(&strength), "{strength}");
    let sum: f64 = json["chance"].as_object().unwrap().values().filter_map(Value::as_f64).sum();
    assert!((sum - 1.0).abs() < 1e-9, "{sum}");
}

#[test]
fn a_list_of_moments_gives_one_row_each() {
    let house = tempfile::tempdir().unwrap();
    let wash = house.path().join("w1");
    fs::create_dir(&wash).unwrap();
    fs::write(wash.join("wash.toml"), WASH).unwrap();
    let list = house.path().join("moments.csv");
    fs::write(&list, "run,moment,at_h,asked\nw1,0.25,0.0,forecast\n").unwrap();
    let csv = house.path().join("out.csv");
    let output = run(&[
        "ferment",
        "--benchmark",
        typed(house.path()),
        "--at",
        typed(&list),
        "--csv",
        typed(&csv),
    ]);
    assert!(output.status.success(), "{output:?}");
    let text = fs::read_to_string(csv).unwrap();
    assert!(text.starts_with("run,moment,at_h,end_h_p025,") && text.lines().count() == 2, "{text}");
    fs::write(&list, "run,moment,at_h\n../w1,0.25,0\n").unwrap();
    let output = run(&[
        "ferment",
        "--benchmark",
        typed(house.path()),
        "--at",
        typed(&list),
        "--csv",
        "x.csv",
    ]);
    assert_eq!(output.status.code(), Some(2));
}

/// What is changed in which file (0 recipe, 1 readings, 2 actions), and the key or column named.
const REFUSED: [(usize, &str, &str, &str); 37] = [
    (0, "format = 1", "format = 2", "format"),
    (0, "kind = \"sugar\"", "kind = \"beer\"", "kind"),
    (0, "kind = \"sugar\"", "", "kind"),
    (0, "litres = 25.0", "litres = 0", "litres"),
    (0, "litres = 25.0", "litres = -25", "litres"),
    (0, "litres = 25.0", "litres = nan", "litres"),
    (0, "litres = 25.0", "litres = \"25\"", "litres"),
    (0, "litres = 25.0", "litres = 4.0", "litres"),
    (0, "litres = 25.0", "litres = 900.0", "litres"),
    (0, "title", "ferments", "ferments"),
    (0, "name = \"sucrose\"", "name = \"honey\"", "fermentable[1].name"),
    (0, "name = \"sucrose\"", "name = \"molasses\"", "fermentable[1].sugar_percent"),
    (0, "name = \"sucrose\"", "name = \"malt and grain\"", "fermentable[1].extract_percent"),
    (0, "name = \"sucrose\"", "name = \"fruit juice\"", "fermentable[1].litres"),
    (0, "kg = 4.5", "", "fermentable[1].kg"),
    (0, "kg = 4.5", "kg = -1", "fermentable[1].kg"),
    (0, "kg = 4.5", "kg = 4.5\nbrix = \"x\"", "fermentable[1].brix"),
    (0, "kind = \"wine\"", "kind = \"wild\"", "yeast.kind"),
    (0, "grams = 25\n[[", "grams = 0\n[[", "yeast.grams"),
    (0, "at_h = 0.0", "at_h = -1", "nutrient[1].at_h"),
    (0, "yan_mg_per_g = 212", "yan_mg_per_g = 2120", "nutrient[1].yan_mg_per_g"),
    (0, "ambient_c = 22.0", "ambient_c = 295", "room.ambient_c"),
    (0, "insulated = false", "insulated = \"no\"", "room.insulated"),
    (0, "insulated = false", "insulated = false\nheater_c = 90.0", "room.heater_c"),
    (0, "insulated = false", "insulated = false\nheater_w = 0.0", "room.heater_w"),
    (0, "hydrometer_true_at_c = 20.0", "hydrometer_true_at_c = 60", "reading.hydrometer_true_at_c"),
    (0, "hydrometer_step = 0.001", "hydrometer_step = 1", "reading.hydrometer_step"),
    (1, "time_h", "hours", "hours"),
    (1, "1.058", "1058", "gravity"),
    (1, "1.058", "1,058", ""),
    (1, "1.058", "x", "gravity"),
    (1, "24,1.058,27", "24,1.058,270", "temperature_c"),
    (1, "24,1.058", "0.05,1.058", "time_h"),
    (1, "24,1.058", "-24,1.058", "time_h"),
    (2, "nutrient", "sugar", "action"),
    (2, "nutrient,25,g", "nutrient,25,kg", "unit"),
    (2, "nutrient,25,g", "nutrient,,g", "value"),
];

#[test]
fn what_cannot_be_is_refused_by_file_line_and_name() {
    for (file, old, new, field) in REFUSED {
        let mut texts = [WASH.to_owned(), READINGS.to_owned(), ACTIONS.to_owned()];
        assert!(texts[file].contains(old), "{old}");
        texts[file] = texts[file].replacen(old, new, 1);
        let dir = folder(&texts[0], &texts[1], &texts[2]);
        let output = run(&["ferment", typed(dir.path()), "--at", "30", "--json"]);
        assert_eq!(output.status.code(), Some(2), "{new}: {output:?}");
        let refusal: Value = serde_json::from_slice(&output.stderr).unwrap();
        let error = &refusal["error"];
        let name = ["wash.toml", "readings.csv", "actions.csv"][file];
        assert!(error["file"].as_str().is_some_and(|file| file.ends_with(name)), "{new}: {error}");
        assert!(error["line"].as_u64().is_some(), "{new}: {error}");
        assert!(error["hint"].as_str().is_some_and(|hint| !hint.is_empty()), "{new}: {error}");
        if !field.is_empty() {
            assert_eq!(error["field"], field, "{new}: {error}");
        }
    }
    let dir = folder(WASH, READINGS, ACTIONS);
    for at in ["-1", "nan", "x", "9999"] {
        let output = run(&["ferment", typed(dir.path()), "--at", at]);
        assert_eq!(output.status.code(), Some(2), "{at}: {output:?}");
    }
}
