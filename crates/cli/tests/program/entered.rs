//! What the bench reckons entered in the book, upkeep, and the list before heat, over the command line.

use std::fs;

use serde_json::Value;

use crate::bad_input::{check, refused};
use crate::{RUN_TOML, printed, typed};

fn said(data: &str, line: &str) -> Value {
    let arguments: Vec<&str> = line.split(' ').chain(["--data", data, "--json"]).collect();
    serde_json::from_str(&printed(&arguments)).expect("JSON")
}

fn alcohol(of: &Value, path: &str) -> f64 {
    of.pointer(path).and_then(Value::as_f64).unwrap_or_else(|| panic!("no {path}: {of}"))
}

#[test]
fn what_the_bench_reckons_is_entered_once_and_closes() {
    let folder = tempfile::tempdir().unwrap();
    let data = typed(folder.path());
    said(data, "enter receive --from received=12@64 --to tank:T1/H1=rest --by Ada --note bought");
    let reduce = "reduce --litres 12 --from 64 --to 43 --steps 3 --gauged 57.1,50.1,43 --enter --out-of tank:T1/H1 --by Ada";
    let first = said(data, reduce);
    assert_eq!((&first["book"]["entered"], &first["book"]["known"]), (&true.into(), &false.into()));
    let again = said(data, reduce);
    assert_eq!((&again["book"]["entered"], &again["book"]["known"]), (&false.into(), &true.into()));
    assert_eq!(first["book"]["entries"], again["book"]["entries"]);
    let carbon = "carbon --litres 17.96 --vol 43 --diameter 40 --height 1.5 --flow 2 --rinse 2 --enter --out-of tank:T1/H1 --into tank:T2/C1 --by Ada";
    let look = said(data, &format!("{carbon} --dry-run"));
    assert_eq!(look["book"]["entered"], false);
    let treated = said(data, carbon);
    assert_eq!(look["book"]["entries"][0]["to"], treated["book"]["entries"][0]["to"]);
    let lost = alcohol(&treated, "/book/entries/0/to/1/pure_alcohol_l");
    assert!((alcohol(&treated, "/lost_l") - lost).abs() < 1e-9, "{treated}");
    let tank = alcohol(&treated, "/book/entries/0/to/0/pure_alcohol_l");
    let vol = alcohol(&treated, "/out_strength_vol");
    said(
        data,
        &format!(
            "cask --litres 4 --vol {vol} --holds 5 --enter --out-of tank:T2/C1 --into cask:K1/K1 --by Ada"
        ),
    );
    said(
        data,
        &format!(
            "cask --litres 4 --vol {vol} --holds 5 --regauged 1=3.9@{vol} --enter --out-of cask:K1/K1 --by Ada"
        ),
    );
    let left = 100.0 * tank / vol - 4.0;
    let bottles = (left / 0.5).floor();
    let bottle = format!(
        "bottle --litres {left} --reading {vol} --label 38 --size 500 --counted {bottles} --enter --out-of tank:T2/C1 --into bottles:shelf/B1 --by Ada"
    );
    let filled = said(data, &bottle);
    assert_eq!(alcohol(&filled, "/book/entries/0/to/0/bottles"), bottles);
    let balance = said(data, "balance");
    assert_eq!(alcohol(&balance, "/off_l"), 0.0);
    let gone: f64 =
        balance["gone"].as_array().unwrap().iter().map(|one| alcohol(one, "/pure_alcohol_l")).sum();
    let sum = gone + alcohol(&balance, "/not_explained_l") + alcohol(&balance, "/closing_l");
    assert!((sum - 7.68).abs() < 1e-9, "{balance}");
    assert_eq!(said(data, "book list").as_array().map(Vec::len), Some(6));
}

#[test]
fn upkeep_is_due_marks_gauges_and_stands_in_the_list_before_heat() {
    let folder = tempfile::tempdir().unwrap();
    let data = typed(folder.path());
    said(data, "enter receive --from received=12@64 --to tank:T1/H1=rest --by Ada --note bought");
    let long_ago = "2020-01-02T10:00:00+01:00";
    for name in ["glass-3", "glass-4"] {
        said(data, &format!("upkeep state kettle --name {name} --kind calibration --days 365"));
    }
    let done = said(
        data,
        &format!("upkeep done kettle --name glass-3 --at {long_ago} --found right --by Wren"),
    );
    assert_eq!((&done[0]["overdue"], &done[1]["overdue"]), (&true.into(), &false.into()));
    let list = printed(&["upkeep", "list", "kettle", "--data", data]);
    assert!(list.contains("OVERDUE  glass-3") && list.contains("never done; due in"), "{list}");
    let gauge = "enter transfer --from tank:T1=all --to tank:T2/H2=gauged --to loss:transfer=rest --litres 11.9 --reading 64 --by Ada";
    said(data, &format!("{gauge} --instrument glass-3"));
    let findings = said(data, "book check");
    let overdue =
        findings.as_array().unwrap().iter().find(|one| one["check"] == "overdue_instrument");
    assert!(
        overdue.is_some_and(|one| one["text"].as_str().unwrap().contains("glass-3")),
        "{findings}"
    );
    let plan = folder.path().join("run.toml");
    fs::write(&plan, RUN_TOML).unwrap();
    let still = RUN_TOML
        .lines()
        .find_map(|line| line.strip_prefix("name = "))
        .map(|name| name.trim_matches('"'));
    let items = said(data, &format!("before-heat {}", typed(&plan)));
    let before = items.as_array().unwrap().len();
    let state = [
        "upkeep",
        "state",
        still.unwrap(),
        "--name",
        "relief lifts",
        "--kind",
        "maintenance",
        "--days",
        "1",
        "--data",
        data,
    ];
    printed(&state);
    let bad = ["upkeep", "done", still.unwrap(), "--name", "relief lifts", "--bad", "--data", data];
    printed(&bad);
    let items = said(data, &format!("before-heat {}", typed(&plan)));
    assert_eq!(items.as_array().unwrap().len(), before + 1);
    assert_eq!(items[before]["finding"], "fails");
    assert!(items[before]["words"].as_str().unwrap().contains("relief lifts"));
    said(data, "upkeep drop kettle --name glass-4");
}

#[test]
#[expect(clippy::too_many_lines, reason = "a table of cases")]
fn what_cannot_be_entered_or_kept_up_is_refused_by_name() {
    let folder = tempfile::tempdir().unwrap();
    let data = typed(folder.path());
    said(data, "enter receive --from received=12@64 --to tank:T1/H1=rest --by Ada --note bought");
    let carbon = "carbon --litres 12 --vol 64 --enter";
    let rows = [
        (format!("{carbon} --out-of tank:T1/H1 --data {data}"), "--by"),
        (format!("{carbon} --by Ada --data {data}"), "--out-of"),
        (format!("{carbon} --by Ada --out-of tank:T1 --data {data}"), "PLACE/LOT"),
        (format!("{carbon} --by Ada --out-of vat:T1/H1 --data {data}"), "place"),
        (format!("{carbon} --by Ada --out-of tank:T9/H1 --data {data}"), "tank:T9/H1"),
        (format!("{carbon} --by Ada --out-of tank:T1/H1 --bed no/bed --data {data}"), "name"),
        (format!("{carbon} --by Ada --out-of tank:T1/H1 --act yesterday --data {data}"), "--act"),
        (format!("{carbon} --by Ada --out-of tank:T1/H1 --note =1+1 --data {data}"), "note"),
        (
            format!(
                "carbon --litres 30 --vol 64 --enter --by Ada --out-of tank:T1/H1 --data {data}"
            ),
            "tank:T1/H1",
        ),
        (
            format!(
                "macerate --litres 12 --vol 64 --solids 0.1 --enter --by Ada --out-of cask:K/K --data {data}"
            ),
            "cask:K/K",
        ),
        (
            format!(
                "cask --litres 12 --vol 64 --holds 20 --enter --by Ada --out-of tank:T1/H1 --data {data}"
            ),
            "--into",
        ),
        (
            format!(
                "cask --litres 12 --vol 64 --holds 20 --enter --by Ada --out-of tank:T1/H1 --into bottles:B/B --data {data}"
            ),
            "bottles:B",
        ),
        (
            format!(
                "bottle --litres 12 --reading 64 --label 64 --size 500 --enter --by Ada --out-of tank:T1/H1 --into bottles:B/B --data {data}"
            ),
            "counted",
        ),
        (
            format!(
                "bottle --litres 12 --reading 64 --label 64 --size 500 --counted 26 --enter --by Ada --out-of tank:T1/H1 --into bottles:B/B --data {data}"
            ),
            "counted",
        ),
        ("reduce --litres 12 --from 64 --to 43 --lost-to loss:spill".to_owned(), "--enter"),
        (
            format!(
                "reduce --litres 12 --from 64 --to 43 --enter --by Ada --out-of tank:T1/H1 --lost-to loss:luck --data {data}"
            ),
            "loss:luck",
        ),
        (
            format!(
                "reduce --litres 12 --from 64 --to 43 --steps 1 --gauged 47 --enter --by Ada --out-of tank:T1/H1 --data {data}"
            ),
            "gauged",
        ),
        (
            "jars --jar 1=0.2@60@20 --hearts 1 --enter --by Ada --into tank:T1/J1".to_owned(),
            "--enter",
        ),
        (format!("jars --of no-such-run --data {data}"), "no-such-run"),
        (format!("upkeep state kettle --name x --kind cleaning --data {data}"), "--days"),
        (format!("upkeep state kettle --name x --kind polish --days 3 --data {data}"), "polish"),
        (
            format!("upkeep state kettle --name x --kind cleaning --days 0 --data {data}"),
            "every_days",
        ),
        (
            format!("upkeep state kettle --name x --kind cleaning --runs 5000 --data {data}"),
            "every_runs",
        ),
        (format!("upkeep done kettle --name x --data {data}"), "kept up"),
        (format!("upkeep drop kettle --name x --data {data}"), "kept up"),
        (format!("upkeep done kettle --name x --at noon --data {data}"), "--at"),
        (format!("upkeep list kettle --data {data}/none"), "none"),
        ("before-heat no-such.toml".to_owned(), "no-such.toml"),
    ];
    let rows: Vec<(&str, &str)> =
        rows.iter().map(|(line, names)| (line.as_str(), *names)).collect();
    check(&rows);
    assert_eq!(said(data, "book list").as_array().map(Vec::len), Some(1), "nothing was entered");
    let said = refused(&["carbon", "--litres", "12", "--vol", "64", "--out-of", "tank:T1/H1"]);
    assert!(said.contains("--enter"), "{said}");
}
