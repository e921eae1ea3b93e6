//! `middlecut washes`: from a recipe to the charge by hand, what is refused, out and in again.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::{run, typed};

const RECIPE: &str = "format = 1\ntitle = \"Plum\"\nstart = \"2026-01-02T08:00:00Z\"\nkind = \"fruit\"\nlitres = 25.0\n\
[[fermentable]]\nname = \"fruit juice\"\nlitres = 25.0\nbrix = 14.5\n[yeast]\nkind = \"wine\"\ngrams = 20\n\
[room]\nambient_c = 19.0\ninsulated = false\nvolume_m3 = 20.0\n\
[reading]\nhydrometer_true_at_c = 20.0\nhydrometer_step = 0.001\n";

fn washes(data: &Path, args: &[&str]) -> std::process::Output {
    run(&[&["washes"][..], args, &["--data", typed(data), "--json"]].concat())
}

fn done(data: &Path, args: &[&str]) -> Value {
    let output = washes(data, args);
    assert!(output.status.success(), "{args:?}: {output:?}");
    serde_json::from_slice(&output.stdout).expect("it is JSON")
}

#[test]
fn a_wash_by_hand_from_the_recipe_to_the_account_and_out_and_in() {
    let house = tempfile::tempdir().unwrap();
    let (data, file) = (house.path().join("data"), house.path().join("wash.toml"));
    fs::write(&file, RECIPE).unwrap();
    let notes = house.path().join("notes.csv");
    fs::write(&notes, "time_h,gravity\n1,1.058\n30,1058\n60,1.02\n").unwrap();
    let id = done(&data, &["open", typed(&file), "--by", "Ada"])["id"].as_str().unwrap().to_owned();
    let looked = done(&data, &["notes", "Plum", typed(&notes), "--dry-run"]);
    assert_eq!((&looked["rows"], &looked["entered"]), (&3.into(), &0.into()), "{looked}");
    assert!(looked["refused"][0]["what"].as_str().unwrap().contains("notes.csv:3: gravity = 1058"));
    let refused = washes(&data, &["notes", "Plum", typed(&notes)]);
    assert!(!refused.status.success(), "all or none");
    fs::write(&notes, "time_h,gravity\n1,1.058\n30,1.04\n60,1.02\n").unwrap();
    assert_eq!(done(&data, &["notes", "Plum", typed(&notes)])["entered"], 3);
    let at = ["--at", "2026-01-08T08:00:00Z"];
    let read = ["read", "Plum", "--gravity", "0.998", "--celsius", "19", "--no-sugar", "yes"];
    let wash = done(&data, &[&read[..], &at].concat());
    assert_eq!(wash["lines"][4]["read"]["note"], "no taste of sugar");
    assert_eq!(wash["lines"][4]["time_h"], 144.0);
    let out = house.path().join("out");
    done(&data, &["export", &id, typed(&out)]);
    let other = house.path().join("other");
    done(&other, &["import", typed(&out)]);
    let again = house.path().join("again");
    done(&other, &["export", "Plum", typed(&again)]);
    for name in ["wash.toml", "readings.csv", "actions.csv"] {
        assert_eq!(
            fs::read(out.join(name)).unwrap(),
            fs::read(again.join(name)).unwrap(),
            "{name}"
        );
    }
    let charge =
        ["charge", "Plum", "--lot", "P1", "--litres", "24", "--strength", "7.9", "--by", "Ada"];
    let charged = done(&data, &[&charge[..], &at].concat());
    assert_eq!((&charged["status"], &charged["charge"]["lot"]), (&"charged".into(), &"P1".into()));
    let lots = run(&["lots", "--data", typed(&data), "--json"]);
    let lots: Value = serde_json::from_slice(&lots.stdout).unwrap();
    assert_eq!(lots[0]["place"], "wash:P1", "{lots}");
    assert_eq!(done(&data, &["list"])[0]["status"], "charged");
    for (args, words) in [
        (&["read", "Plum", "--gravity", "1.01"][..], "it is over"),
        (&["show", "Pear"][..], "must be the id or the title of a wash"),
        (&["strike", &id, "1", "--reason", "so"][..], "must be the number of a reading"),
        (&["act", &id, "dance"][..], "is unknown; expected one of"),
    ] {
        let output = washes(&data, args);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(!output.status.success() && said.contains(words), "{args:?}: {said}");
    }
}
