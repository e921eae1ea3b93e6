//! What finishes a spirit, over the command line: jars, steps, carbon, casks, bottles.

use std::fs;

use serde_json::Value;

use crate::bad_input::{check, refused};
use crate::{RUN_TOML, printed, typed};

const JARS: &str = "jar,start_s,end_s,volume_ml,temperature_c,apparent_vol,cut,note\n\
                    1,0,600,60,20,95,foreshots,nail varnish\n2,600,1200,200,20,94.8,heads,sharp\n\
                    3,1200,1800,500,20,94.5,hearts,clean\n4,1800,2400,500,20,94,hearts,clean\n\
                    5,2400,3000,300,,,hearts,\n6,3000,3600,400,20,80,tails,wet cardboard\n";

fn json(arguments: &[&str]) -> Value {
    let text = printed(&[arguments, &["--json"]].concat());
    serde_json::from_str(&text).expect("--json prints one object")
}

fn value(of: &Value, path: &str) -> f64 {
    of.pointer(path).and_then(Value::as_f64).unwrap_or_else(|| panic!("no number {path}: {of}"))
}

#[test]
fn the_jars_of_a_run_are_cut_and_nothing_is_left_out_of_the_account() {
    let folder = tempfile::tempdir().unwrap();
    let run = folder.path().join("run");
    fs::create_dir(&run).unwrap();
    fs::write(run.join("run.toml"), RUN_TOML).unwrap();
    fs::write(run.join("jars.csv"), JARS).unwrap();
    fs::write(run.join("actions.csv"), "time_s,action,value,unit,note\n0,heater,3000,W,\n")
        .unwrap();
    let told = json(&["jars", typed(&run), "--category", "cider", "--wash", "20@8"]);
    let all: f64 = (0..5).map(|i| value(&told, &format!("/jars/{i}/pure_alcohol_l"))).sum();
    let lots = ["hearts", "feints", "discarded"];
    let sum: f64 = lots.iter().map(|lot| value(&told, &format!("/{lot}/pure_alcohol_l"))).sum();
    assert!((all - sum).abs() < 1e-9, "{told}");
    assert_eq!(told["left_out"], serde_json::json!([5]));
    assert_eq!(told["against"][0]["limit"], 1000.0);
    assert!(value(&told, "/hearts/congeners/methanol") > 0.0);
    assert!(
        (value(&told, "/next_charge/of_feints_l") - value(&told, "/feints/pure_alcohol_l")).abs()
            < 1e-12
    );
    // A jar on the balance takes the place of what the run says of it.
    let weighed = json(&["jars", typed(&run), "--jar", "5=0.24kg@93@20", "--hearts", "3-5"]);
    assert_eq!(weighed["hearts"]["jars"], serde_json::json!([3, 4, 5]));
    let text = printed(&["jars", typed(&run), "--noses", "3", "--twice", "1"]);
    assert!(
        text.contains("Cuts do not take methanol out") && text.contains("glass  jar"),
        "{text}"
    );
    assert!(text.contains("jar 5 was not gauged"), "{text}");
    assert_eq!(text, printed(&["jars", typed(&run), "--noses", "3", "--twice", "1"]));
    let hint = refused(&["jars", typed(&run), "--hearts", "3,9"]);
    assert!(hint.contains("no gauged jar 9"), "{hint}");
}

#[test]
fn a_spirit_goes_from_steps_through_carbon_into_bottles() {
    let at_once = json(&["reduce", "--litres", "5", "--from", "64", "--to", "43"]);
    let steps = json(&["reduce", "--litres", "5", "--from", "64", "--to", "43", "--steps", "3"]);
    assert!((value(&at_once, "/water_kg") - value(&steps, "/water_kg")).abs() < 1e-9, "{steps}");
    let litres = value(&steps, "/steps/2/litres_20c").to_string();
    let bed = ["--diameter", "30", "--height", "1.5", "--flow", "1", "--rinse", "1"];
    let treated = json(&[["carbon", "--litres", &litres, "--vol", "43"].as_slice(), &bed].concat());
    let out = value(&treated, "/out_litres_20c") * value(&treated, "/out_strength_vol") / 100.0;
    let sum = out + value(&treated, "/lost_l");
    assert!((sum - value(&steps, "/pure_alcohol_l")).abs() < 1e-9, "{treated}");
    let tank = ["bottle", "--litres", "7.1", "--reading", "40.1", "--label", "40", "--size", "500"];
    let lot = json(
        &[tank.as_slice(), &["--step", "0.1", "--glasses", "2", "--thermometer", "0.1"]].concat(),
    );
    assert!(value(&lot, "/chance_label") > 0.97 && value(&lot, "/bottles") == 14.0, "{lot}");
    let coarse = printed(&[tank.as_slice(), &["--step", "1", "--counted", "13"]].concat());
    assert!(
        coarse.contains("cannot tell this label") && coarse.contains("not explained"),
        "{coarse}"
    );
    let cask = json(&["cask", "--litres", "48", "--vol", "62", "--holds", "50", "--years", "2.5"]);
    assert_eq!(cask["years"].as_array().map(Vec::len), Some(3));
    let soaked =
        json(&["macerate", "--litres", "5", "--vol", "60", "--solids", "2", "--water", "85"]);
    assert!((value(&soaked, "/pure_alcohol_l") + value(&soaked, "/lost_l") - 3.0).abs() < 1e-9);
}

#[test]
#[expect(clippy::too_many_lines, reason = "a table of cases")]
fn what_cannot_be_finished_so_is_refused_by_name() {
    check(&[
        ("jars", "RUN_FOLDER"),
        ("jars --jar 1", "NUMBER=LITRES@READING@CELSIUS"),
        ("jars --jar 1=0.2@95", "NUMBER=LITRES@READING@CELSIUS"),
        ("jars --jar x=0.2@95@20", "number"),
        ("jars --jar 1=much@95@20", "litres"),
        ("jars --jar 1=xkg@95@20", "kg"),
        ("jars --jar 1=0.2@NaN@20", "reading"),
        ("jars --jar 1=-2@95@20", "jar 1: litres"),
        ("jars --jar 1=0.2@120@20", "jar 1: reading"),
        ("jars --jar 1=0.2@60@80", "at"),
        ("jars --jar 1=0.2@60@20", "none is chosen"),
        ("jars --jar 1=0.2@60@20 --hearts 4", "jar 4"),
        ("jars --jar 1=0.2@60@20 --hearts 9-4", "range"),
        ("jars --jar 1=0.2@60@20 --hearts 1-4000", "300"),
        ("jars --jar 1=0.2@60@20 --hearts 1 --category moonshine", "moonshine"),
        ("jars --jar 1=0.2@60@20 --hearts 1 --own fusel=3", "fusel"),
        ("jars --jar 1=0.2@60@20 --hearts 1 --own methanol=-3", "-3"),
        ("jars --jar 1=0.2@60@20 --hearts 1 --noses 7", "jars"),
        ("jars --jar 1=0.2@60@20 --hearts 1 --twice 2", "--noses"),
        ("jars no-such-folder", "no-such-folder"),
        ("reduce --litres 5 --from 64 --to 43 --steps 0", "steps"),
        ("reduce --litres 5 --from 64 --to 43 --steps 40", "steps"),
        ("reduce --litres 5 --from 64 --to 43 --steps 2 --rest -1", "rest"),
        ("reduce --litres 5 --from 64 --to 43 --steps 2 --gauged 70", "gauged 1"),
        ("reduce --litres 5 --from 64 --to 43 --steps 1 --gauged 60,50", "gauged"),
        ("reduce --litres 5 --from 64 --to 43 --gauged 60", "--steps"),
        ("reduce --litres 5 --from 43 --to 64 --steps 2", "to"),
        ("carbon --litres 0 --vol 40", "litres"),
        ("carbon --litres 10 --vol 140", "vol"),
        ("carbon --litres 10 --vol 40 --diameter 40", "--height"),
        ("carbon --litres 10 --vol 40 --diameter 4 --height 1 --flow 1", "diameter"),
        ("carbon --litres 10 --vol 40 --diameter 40 --height 0 --flow 1", "height"),
        ("carbon --litres 10 --vol 40 --diameter 40 --height 1.5 --flow 0", "flow"),
        ("carbon --litres 1 --vol 40 --diameter 40 --height 1.5 --flow 1", "bed holds"),
        ("macerate --litres 5 --vol 60 --solids 50", "solids"),
        ("macerate --litres 5 --vol 60 --solids 1 --water 120", "water"),
        ("macerate --litres 5 --vol 60 --solids 1 --extract -3", "extract"),
        ("cask --vol 62 --holds 50", "--litres"),
        ("cask --litres 60 --vol 62 --holds 50", "filled litres"),
        ("cask --litres 48 --vol 162 --holds 50", "strength"),
        ("cask --litres 48 --vol 62 --holds 50 --years 90", "years"),
        ("cask --litres 48 --vol 62 --holds 50 --humidity 120", "humidity"),
        ("cask --litres 48 --vol 62 --holds 50 --climate arctic", "arctic"),
        ("cask --litres 48 --vol 62 --holds 50 --regauged 45", "YEARS=LITRES@STRENGTH"),
        ("cask --litres 48 --vol 62 --holds 50 --regauged 1=75@60", "regauged litres"),
        ("bottle --litres 20 --reading 40 --label 40", "--size"),
        ("bottle --litres 20 --reading 40 --label 40 --size 2", "size"),
        ("bottle --litres 20 --reading 40 --label 40 --size 500 --country mars", "mars"),
        ("bottle --litres 20 --reading 140 --label 40 --size 500", "reading"),
        ("bottle --litres 20 --reading 40 --label 0 --size 500", "label"),
        ("bottle --litres 20 --reading 40 --label 40 --size 500 --glasses 0", "glasses"),
        ("bottle --litres 20 --reading 40 --label 40 --size 500 --heel 30", "heel"),
        ("bottle --litres 20 --reading 40 --label 40 --size 500 --counted 500", "counted"),
        ("bottle --litres 20 --reading 40 --label 40 --size 500 --each-sd -1", "each-sd"),
    ]);
    let as_json = refused_json(&[
        "bottle",
        "--litres",
        "20",
        "--reading",
        "40",
        "--label",
        "40",
        "--size",
        "500",
        "--heel",
        "30",
    ]);
    assert_eq!((&as_json["field"], &as_json["value"]), (&"heel".into(), &"30".into()));
    assert!(as_json["bound"].as_str().is_some_and(|bound| bound.contains("from 0 to 20")));
}

fn refused_json(arguments: &[&str]) -> Value {
    let out = crate::run(&[arguments, &["--json"]].concat());
    assert_eq!(out.status.code(), Some(2));
    let said: Value = serde_json::from_slice(&out.stderr).expect("one object");
    said["error"].clone()
}
