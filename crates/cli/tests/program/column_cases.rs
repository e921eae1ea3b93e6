//! The reference trajectories of the still model, run through the program as a person would.
//!
//! Where they come from and why the tolerances are what they are: `reference/column` of `still`.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::{printed, typed};

/// Tolerances at rtol 1e-6: seconds of a step's end by rise and by anything else, relative litres.
const RISE_S: f64 = 1.0;
const END_S: f64 = 0.1;
const LITRES_REL: f64 = 1e-5;

fn case(name: &str) -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.join("../still/reference/column").join(name)
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

/// Cells of a CSV as text, the header first.
fn cells(text: &str) -> Vec<Vec<&str>> {
    text.lines().map(|line| line.split(',').collect()).collect()
}

fn check(name: &str) {
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let csv = folder.path().join("rows.csv");
    let run_file = case(name).join("run.toml");
    let text =
        printed(&["forecast", typed(&run_file), "--json", "--rtol", "1e-6", "--csv", typed(&csv)]);
    let found: Value = serde_json::from_str(&text).expect("JSON");
    let expected = fs::read_to_string(case(name).join("expected.json")).expect("the case is there");
    let expected: Value = serde_json::from_str(&expected).expect("JSON");

    for (field, at) in [("heat_up_min", "ready_s"), ("coolant_on_min", "boil_s")] {
        let miss = number(&found[field]) * 60.0 - number(&expected["heat_up"][at]);
        assert!(miss.abs() < 0.05, "{name} {field}: {miss} s");
    }
    let (steps, known) = (found["steps"].as_array(), expected["steps"].as_array());
    let (steps, known) = (steps.expect("a list"), known.expect("a list"));
    assert_eq!(steps.len(), known.len(), "{name}");
    let total_l: f64 = known.iter().filter_map(|step| step["litres_20c"].as_f64()).sum();
    for (step, known) in steps.iter().zip(known) {
        assert_eq!((&step["do"], &step["ended_by"]), (&known["do"], &known["ended_by"]), "{name}");
        let allowed_s = if step["ended_by"] == "until_rise_k" { RISE_S } else { END_S };
        let miss_s = number(&step["end_s"]) - number(&known["end_s"]);
        assert!(miss_s.abs() < allowed_s, "{name} {}: {miss_s} s", step["do"]);
        if let Some(litres) = known["litres_20c"].as_f64() {
            let miss_l = number(&step["litres_20c"]) - litres;
            assert!(miss_l.abs() < LITRES_REL * total_l, "{name} {}: {miss_l} L", step["do"]);
        }
    }
    check_rows(name, &fs::read_to_string(csv).expect("the rows were written"));
}

/// Same header, same times, cells empty where they should be.
fn check_rows(name: &str, found: &str) {
    let expected = fs::read_to_string(case(name).join("expected.csv")).expect("the case is there");
    let (found, expected) = (cells(found), cells(&expected));
    assert_eq!(found[0], expected[0], "{name}: header");
    assert_eq!(found.len(), expected.len(), "{name}: rows");
    for (row, known) in found.iter().zip(&expected).skip(1) {
        let empty = |row: &[&str]| row.iter().map(|cell| cell.is_empty()).collect::<Vec<_>>();
        assert_eq!(empty(row), empty(known), "{name} at {} s", row[0]);
        let time = |row: &[&str]| row[0].parse::<f64>().expect("a time");
        assert!((time(row) - time(known)).abs() < RISE_S, "{name} at {} s", row[0]);
    }
}

#[test]
fn xval_column_cases_through_the_program() {
    for name in ["C1", "C2", "C3", "C4", "C5", "C6", "C7", "C8"] {
        check(name);
    }
}
