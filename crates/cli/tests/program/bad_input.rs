//! Wrong input over the command line and files: each a clear error, exit 2, nothing on standard output.

use std::fs;
use std::path::Path;
use std::process::Output;

use crate::{RUN_TOML, run, typed};

/// Runs and checks what every refusal has in common; returns what was said.
pub(crate) fn refused(arguments: &[&str]) -> String {
    let Output { status, stdout, stderr } = run(arguments);
    let said = String::from_utf8(stderr).expect("errors are UTF-8");
    assert_eq!(status.code(), Some(2), "{arguments:?} {status}: {said}");
    assert!(stdout.is_empty(), "{arguments:?} printed to standard output");
    let lines: Vec<&str> = said.lines().collect();
    assert!(lines.first().is_some_and(|line| line.starts_with("error: ")), "{arguments:?}: {said}");
    let has_hint = lines.iter().any(|line| line.starts_with("hint: ") && line.len() > 12);
    assert!(has_hint, "{arguments:?}: {said}");
    assert!(!said.contains("panicked") && !said.contains("RUST_BACKTRACE"), "{said}");
    said
}

/// One row: the command line, and a word the message must hold (the field or the value).
pub(crate) fn check(rows: &[(&str, &str)]) {
    for (line, names) in rows {
        let arguments: Vec<&str> = line.split(' ').collect();
        let said = refused(&arguments);
        assert!(said.contains(names), "{line}: \"{names}\" is not named in: {said}");
    }
}

#[test]
fn numbers_that_are_no_numbers() {
    check(&[
        ("liquid --vol NaN", "--vol"),
        ("liquid --vol inf", "--vol"),
        ("liquid --vol forty", "forty"),
        ("liquid --vol 1,234.5", "separator"),
        ("liquid --vol 40 --at warm", "--at"),
        ("liquid --vol 40 --pressure 1e999", "--pressure"),
        ("gauge --reading 0x10", "--reading"),
        ("gauge --reading 40 --at-sd nan", "--at-sd"),
        ("reduce --litres two --from 90 --to 40", "--litres"),
        ("blend 1@NaN", "strength"),
        ("blend a@40", "litres"),
        ("wash --litres 25 --sugar sucrose=much", "kilograms"),
        ("wash --litres -inf --sugar sucrose=5", "--litres"),
        ("serve --port http", "--port"),
        ("rehearse run.toml --seed 1.5", "--seed"),
        ("replay run --speed fast", "--speed"),
        ("forecast run.toml --rtol small", "--rtol"),
    ]);
    let said = refused(&["liquid", "--vol", ""]);
    assert!(said.contains("--vol"), "{said}");
}

#[test]
fn numbers_out_of_range() {
    check(&[
        ("liquid --vol 300", "300"),
        ("liquid --vol -1", "-1"),
        ("liquid --mass 101", "mass"),
        ("liquid --mole 1.5", "mole"),
        ("liquid --proof 201", "proof"),
        ("liquid --density 0.95", "density"),
        ("liquid --density 2000", "density"),
        ("liquid --vol 40 --at 60", "at"),
        ("liquid --vol 5 --at -20", "ice"),
        ("liquid --vol 40 --pressure 0", "--pressure"),
        ("liquid --vol 40 --pressure 101325", "--pressure"),
        ("gauge --reading 150", "reading"),
        ("gauge --reading -5", "reading"),
        ("gauge --reading 250 --scale proof60", "reading"),
        ("gauge --reading 0.95 --scale density", "reading"),
        ("gauge --reading 40 --at 95", "at"),
        ("gauge --reading 40 --reading-sd -1", "reading-sd"),
        ("reduce --litres -2 --from 90 --to 40", "litres"),
        ("reduce --litres 0 --from 90 --to 40", "litres"),
        ("reduce --litres 2 --from 40 --to 90", "to"),
        ("reduce --litres 2 --from 90 --to 0", "to"),
        ("reduce --litres 2 --from 120 --to 40", "from"),
        ("reduce --litres 2 --from 90 --to 40 --at -5", "at"),
        ("blend 1@140", "strength"),
        ("blend -1@40", "-1"),
        ("blend 0@40 0@50", "litres"),
        ("wash --litres 0 --sugar sucrose=5", "litres"),
        ("wash --litres -25 --sugar sucrose=5", "litres"),
        ("wash --litres 25 --sugar sucrose=-5", "sugar"),
        ("wash --litres 5 --sugar sucrose=50", "sugar"),
        ("wash --litres 25 --sugar sucrose=5 --efficiency 150", "efficiency"),
        ("wash --litres 25 --sugar sucrose=5 --efficiency -1", "efficiency"),
        ("serve --port 70000", "--port"),
        ("rehearse run.toml --seed -1", "--seed"),
        ("replay run --speed 0", "--speed"),
        ("replay run --speed -3", "--speed"),
        ("rehearse run.toml --speed 1e9", "--speed"),
        ("forecast run.toml --rtol 0", "--rtol"),
        ("forecast run.toml --rtol 2", "--rtol"),
        ("forecast run.toml --pressure 29.92", "--pressure"),
    ]);
}

#[test]
fn words_that_mean_nothing() {
    check(&[
        ("distil", "distil"),
        ("liquid --vol 40 --colour", "--colour"),
        ("liquid", "--vol"),
        ("liquid --vol 40 --mass 33", "--mass"),
        ("liquid --vol 40 --vol 41", "--vol"),
        ("gauge --at 20", "--reading"),
        ("gauge --reading 40 --scale sikes", "sikes"),
        ("reduce --litres 2 --from 90", "--to"),
        ("blend", "L@P"),
        ("blend 1", "LITRES@STRENGTH"),
        ("blend 1@", "strength"),
        ("blend @40", "litres"),
        ("blend 1@40@2", "strength"),
        ("wash --litres 25", "--sugar"),
        ("wash --litres 25 --sugar sucrose", "KIND=KG"),
        ("wash --litres 25 --sugar honey=2", "honey"),
        ("completions teapot", "teapot"),
        ("export", "RUN_ID"),
        ("instruments", "list, state, calibrate"),
        ("liquid --vol 40 --at 68inHg", "68inHg"),
    ]);
}

/// Writes `text` as a run file and has it forecast.
fn refused_plan(folder: &Path, text: &[u8]) -> String {
    let path = folder.join("run.toml");
    fs::write(&path, text).expect("the test folder can be written");
    let said = refused(&["forecast", typed(&path)]);
    assert!(said.contains("run.toml"), "the file is not named: {said}");
    said
}

/// The example with one piece replaced; the piece must be there.
fn with(old: &str, new: &str) -> String {
    assert!(RUN_TOML.contains(old), "the example no longer holds {old}");
    RUN_TOML.replacen(old, new, 1)
}

#[test]
fn plans_that_cannot_be_run() {
    let folder = tempfile::tempdir().unwrap();
    let rows = [
        (with("format = 1", "format = 3"), "format"),
        (with("format = 1", "format = 1\ncolour = 3"), "colour"),
        (with("kind = \"column\"", "kind = \"kettle\""), "kind"),
        (with("kind = \"column\"", "kind = \"pot\""), "stages"),
        (with("boiler_litres = 28.0", "boiler_litres = nan"), "boiler_litres"),
        (with("boiler_litres = 28.0", "boiler_litres = -28.0"), "boiler_litres"),
        (with("boiler_litres = 28.0", "boiler_litres = \"big\""), "boiler_litres"),
        (with("boiler_litres = 28.0\n", ""), "boiler_litres"),
        (with("stages = ", "stages = 100 # "), "stages"),
        (with("element_cover_litres = ", "element_cover_litres = 25 # "), "element_cover"),
        (with("drum_fraction = ", "drum_fraction = 1.5 # "), "drum_fraction"),
        (with("strength_vol = ", "strength_vol = 300 # "), "strength_vol"),
        (with("temperature_c = ", "temperature_c = inf # "), "temperature_c"),
        (with("pressure_hpa = ", "pressure_hpa = 101325 # "), "pressure_hpa"),
        (with("until_rise_k = ", "until_rise_kk = "), "until_rise_kk"),
        (with("do = \"heat\"", "do = \"warm\""), "warm"),
        (with("do = \"heat\"", "do = \"tails\""), "heat"),
        (with("do = \"stop\"", "do = \"heat\""), "heat"),
        (with("watts = ", "watts = 90000 # "), "watts"),
        (with("[site]", "[charge.congeners_mg_per_l]\nmoonlight = 3\n[site]"), "moonlight"),
        (with("start = \"", "start = \"yesterday, "), "start"),
        (with("[still]", "[still"), "unclosed"),
        (String::new(), "format"),
    ];
    for (text, names) in rows {
        let said = refused_plan(folder.path(), text.as_bytes());
        assert!(said.contains(names), "\"{names}\" is not named in: {said}");
    }
}

#[test]
fn a_still_too_weak_to_boil_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("run.toml");
    let weak = with("do = \"heat\"\nwatts = ", "do = \"heat\"\nwatts = 60 # ");
    fs::write(&path, weak).unwrap();
    let said = refused(&["forecast", typed(&path)]);
    assert!(said.contains("never boils"), "{said}");
}

#[test]
fn files_that_are_no_run_files() {
    let folder = tempfile::tempdir().unwrap();
    refused_plan(folder.path(), &[0, 159, 146, 150, 255, 0, 1]);
    let mut long = b"title = \"".to_vec();
    long.resize(100_000_000, b'x');
    refused_plan(folder.path(), &long);
    let path = folder.path().to_str().unwrap().to_owned();
    refused(&["forecast", &path]);
    refused(&["forecast", &format!("{path}/absent.toml")]);
    refused(&["rehearse", &format!("{path}/absent.toml")]);
    refused(&["replay", &format!("{path}/absent")]);
    refused(&["import", &format!("{path}/absent"), "--data", &path]);
    let good = folder.path().join("good.toml");
    fs::write(&good, RUN_TOML).unwrap();
    let good = typed(&good);
    let said = refused(&["forecast", good, "--csv", &format!("{path}/no/such/folder.csv")]);
    assert!(said.contains("--csv"), "{said}");
}

const ACTIONS: &str = "time_s,action,value,unit,note\n0,heater,3000,W,\n";

/// Writes a run folder with this one file wrong and has it replayed.
fn refused_folder(name: &str, bytes: &[u8]) -> String {
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let write = |name: &str, bytes: &[u8]| {
        fs::write(folder.path().join(name), bytes).expect("the test folder can be written");
    };
    write("run.toml", RUN_TOML.as_bytes());
    write("actions.csv", ACTIONS.as_bytes());
    write("readings.csv", b"time_s,head_c\n0,12\n");
    write(name, bytes);
    let said = refused(&["replay", typed(folder.path())]);
    assert!(said.contains(name), "{name} is not named in: {said}");
    said
}

#[test]
fn tables_that_cannot_be_read() {
    let rows = [
        ("readings.csv", "head_c\n20\n", "time_s"),
        ("readings.csv", "time_s,head_c,mood\n0,20,3\n", "mood"),
        ("readings.csv", "time_s,head_c,head_c\n0,20,3\n", "head_c"),
        ("readings.csv", "time_s,head_c\n0,warm\n", "head_c"),
        ("readings.csv", "time_s,head_c\n0,NaN\n", "head_c"),
        ("readings.csv", "time_s,head_c\n0,20\n-5,20\n", "time_s"),
        ("readings.csv", "time_s,head_c\n60,20\n30,20\n", "time_s"),
        ("readings.csv", "time_s,head_c\n0,20,21\n", ":2"),
        ("readings.csv", "time_s,head_c\n,20\n", "time_s"),
        ("readings.csv", "", "readings.csv"),
        ("actions.csv", "time_s,value\n0,3\n", "action"),
        ("actions.csv", "time_s,action,value\n0,dance,3\n", "dance"),
        ("actions.csv", "time_s,action,value,unit\n0,heater,-3,W\n", "value"),
        ("actions.csv", "time_s,action,value,unit\n0,takeoff,20,gallons\n", "unit"),
        ("actions.csv", "time_s,action,value,unit,note\n0,step,,,dance\n", "note"),
        ("actions.csv", "time_s,action,note\n0,note,\"open\n", "quot"),
        ("jars.csv", "jar,start_s,end_s\n1,0,60\n", "volume_ml"),
        ("jars.csv", "jar,start_s,end_s,volume_ml\n1,60,0,200\n", "end_s"),
        ("jars.csv", "jar,start_s,end_s,volume_ml\n1,0,60,-200\n", "volume_ml"),
        ("jars.csv", "jar,start_s,end_s,volume_ml,cut\n1,0,60,200,best\n", "cut"),
        ("outcome.json", "{", "outcome.json"),
    ];
    for (name, text, names) in rows {
        let said = refused_folder(name, text.as_bytes());
        assert!(said.contains(names), "{name} {text:?}: \"{names}\" is not named in: {said}");
    }
}

#[test]
fn tables_of_one_endless_line_or_no_text() {
    refused_folder("readings.csv", &[b't', 0, 255, 254, b'\n', 7]);
    let mut line = b"time_s,head_c\n0,".to_vec();
    line.resize(100_000_000, b'1');
    refused_folder("readings.csv", &line);
}
