//! `workbench benchmark`: forecasts of our own rehearsals, scored against an outcome made by the test.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};
use std::sync::LazyLock;

use serde_json::Value;
use store::folder::RunFolder;
use tempfile::TempDir;

/// Run files of the examples: a pot, whose simulation costs least, and a column for what only a
/// column has.
const POT_TOML: &str = include_str!("../../../examples/hollowbank/low-wines/run.toml");
const COLUMN_TOML: &str = include_str!("../../../examples/hollowbank/perry/run.toml");

/// Runs the workbench to its end.
fn run(arguments: &[&str]) -> Output {
    let program = env!("CARGO_BIN_EXE_workbench");
    Command::new(program).args(arguments).output().expect("the program can be started")
}

/// Runs it, which must succeed, and returns what it printed.
fn printed(arguments: &[&str]) -> String {
    let Output { status, stdout, stderr } = run(arguments);
    let said = String::from_utf8_lossy(&stderr);
    assert!(status.success(), "{arguments:?} {status}: {said}");
    String::from_utf8(stdout).expect("the program prints UTF-8")
}

/// A path as it is typed.
fn typed(path: &Path) -> &str {
    path.to_str().expect("test folders have plain names")
}

static POT: LazyLock<RunFolder> = LazyLock::new(|| rehearsed(POT_TOML));
static COLUMN: LazyLock<RunFolder> = LazyLock::new(|| rehearsed(COLUMN_TOML));

/// A run folder that a rehearsal through the engine left: plan and rows.
fn rehearsed(run_toml: &str) -> RunFolder {
    let file = tempfile::tempdir().expect("a test folder can be made");
    let path = file.path().join("run.toml");
    fs::write(&path, run_toml).expect("a test file can be written");
    let plan = store::folder::read_plan(&path).expect("the example's plan is whole");
    let mut rows = sense::RecordedRun::default();
    let options = advise::LiveOptions { estimate: false, ..advise::LiveOptions::default() };
    rehearse::rehearse_as(&plan, 7, options, &mut |_, _| {}, &mut |more| rows.append(more.clone()))
        .expect("the example can be rehearsed");
    // A probe a person would have: read every half minute.
    rows.readings.retain(|row| row.0 % 30.0 == 0.0);
    RunFolder::new(plan, rows)
}

/// Columns that a file of forecasts must have.
const FORECAST_COLUMNS: &str = "run,at_fraction,made_at_s,end_p025,end_p10,end_p50,end_p90,end_p975,litres_p025,litres_p10,litres_p50,litres_p90,litres_p975";

/// Where hearts began and ended in the rehearsal, s.
fn hearts_s(run: &RunFolder) -> (f64, f64) {
    let hearts: Vec<_> =
        run.rows.jars.iter().filter(|jar| jar.cut == Some(still::plan::StepKind::Hearts)).collect();
    let start = hearts.first().expect("the rehearsal draws hearts").start_s;
    (start, hearts.last().map_or(start, |jar| jar.end_s))
}

/// Writes the rehearsal as a run folder, with the test's outcome or without.
fn write_run(dir: &Path, run: &RunFolder, with_outcome: bool) {
    let mut folder = run.clone();
    let (start, end) = hearts_s(run);
    folder.outcome = with_outcome.then(|| {
        serde_json::json!({
            "hearts_start_s": start, "end_of_hearts_s": end, "hearts_l_20c": 1.4,
            "family": "col_weak", "sensors": "head_pot", "fault": "none",
            "strength_track": [[0.0, 94.0], [end + 600.0, 92.0]],
        })
    });
    store::folder::write(dir, &folder).expect("a run folder can be written");
}

/// This run twice, once below a further folder.
fn collection_of(run: &RunFolder, with_outcome: bool) -> TempDir {
    let dir = tempfile::tempdir().expect("a test folder can be made");
    write_run(&dir.path().join("alone"), run, with_outcome);
    write_run(&dir.path().join("more/other"), run, with_outcome);
    dir
}

/// A collection of the run that costs least.
fn collection(with_outcome: bool) -> TempDir {
    collection_of(&POT, with_outcome)
}

/// Refused as bad input: exit 2, nothing on standard output; what was said.
fn refused(arguments: &[&str]) -> String {
    let Output { status, stdout, stderr } = run(arguments);
    let said = String::from_utf8_lossy(&stderr).into_owned();
    assert_eq!(status.code(), Some(2), "{arguments:?}: {said}");
    assert!(stdout.is_empty() && said.contains("hint: "), "{said}");
    said
}

#[test]
fn forecasts_are_scored_and_the_same_however_many_at_a_time() {
    let (dir, out) = (collection(true), tempfile::tempdir().expect("a test folder can be made"));
    let [one, two] = ["one.csv", "two.csv"].map(|name| out.path().join(name));
    let folder = typed(dir.path());
    let text = printed(&["benchmark", folder, "--csv", typed(&one), "--jobs", "1", "--json"]);
    printed(&["benchmark", folder, "--csv", typed(&two), "--jobs", "2"]);
    let csv = fs::read_to_string(&one).expect("the forecasts were written");
    assert_eq!(csv, fs::read_to_string(&two).expect("the forecasts were written"));
    assert_eq!(csv.lines().count(), 1 + 2 * 5, "{csv}");
    let mut moments = csv.lines().skip(1).filter_map(|line| line.split(',').nth(1));
    assert_eq!(moments.next(), Some("0.05"));
    // A forecast of the same rows is the same wherever the folder lies.
    let of = |name: &str| {
        csv.lines()
            .filter_map(|line| line.strip_prefix(name))
            .map(str::to_owned)
            .collect::<Vec<_>>()
    };
    assert_eq!(of("alone,"), of("more/other,"));
    let scores: Value = serde_json::from_str(&text).expect("--json prints one object");
    assert_eq!((&scores["runs"], &scores["forecasts"]), (&2.into(), &10.into()));
    let all = &scores["summaries"][5];
    assert_eq!((&all["group"], &all["at_fraction"]), (&"all".into(), &Value::Null));
    assert!(all["end"]["crps"].as_f64().is_some_and(|score| score > 0.0), "{all}");
    assert!(all["naive_strength"]["median_error"].is_f64(), "{all}");

    // Scored from the file alone it is the same; against itself nothing is gained.
    let again = printed(&[
        "benchmark",
        folder,
        "--score-only",
        typed(&one),
        "--baseline",
        typed(&two),
        "--json",
    ]);
    let again: Value = serde_json::from_str(&again).expect("--json prints one object");
    assert_eq!(again["summaries"][5]["end"], all["end"]);
    let lines = again["comparisons"][0]["lines"].as_array().expect("a list");
    assert!(!lines.is_empty() && lines.iter().all(|line| line["both"]["percent"] == 0.0));
}

#[test]
fn columns_played_live_show_when_the_end_was_said_to_be_near() {
    let dir = collection_of(&COLUMN, true);
    let out = tempfile::tempdir().expect("a test folder can be made");
    let (folder, csv) = (typed(dir.path()), out.path().join("forecasts.csv"));
    let (start, end) = hearts_s(&COLUMN);
    // Only what was played is looked at here: one forecast, made by hand.
    let row = format!("alone,0.5,900,1,2,3,4,{end},1,1,1,2,2");
    fs::write(&csv, format!("{FORECAST_COLUMNS}\n{row}\n")).expect("a test file can be written");
    let scored = ["benchmark", folder, "--score-only", typed(&csv)];
    let with = |further: &[&str]| printed(&[&scored[..], further].concat());
    let object = |text: String| -> Value { serde_json::from_str(&text).expect("one object") };
    let not_asked = object(with(&["--json"]));
    assert_eq!(not_asked["prompts"], serde_json::json!([]));

    let mut heard = None;
    advise::replay(&COLUMN.plan, &COLUMN.rows, &mut |event, _| {
        if event.code == "hearts_end_near" && heard.is_none() {
            heard = Some(event.time_s);
        }
    })
    .expect("the rehearsal can be played");
    let lead_s = end - heard.expect("a rehearsed column says that its end is near");
    let page = out.path().join("page");
    let asked = object(with(&["--replay", "--json", "--report", typed(&page)]));
    let marks = asked["prompts"].as_array().expect("a list");
    let names: Vec<&Value> = marks.iter().map(|mark| &mark["run"]).collect();
    assert_eq!(names, ["alone", "more/other"]);
    let limit_s = (0.25 * (end - start)).max(2700.0);
    for mark in marks {
        assert_eq!((&mark["lead_s"], &mark["early_limit_s"]), (&lead_s.into(), &limit_s.into()));
        assert_eq!(mark["late"], lead_s < 600.0);
        assert_eq!((&mark["family"], &mark["healthy"]), (&"col_weak".into(), &true.into()));
    }
    let bounds = |scores: &Value| {
        let checks = scores["checks"].as_array().expect("a list");
        checks.iter().filter(|check| check["what"].to_string().contains("prompt")).count()
    };
    assert_eq!((bounds(&asked), bounds(&not_asked)), (2, 0));
    // Nothing else moves.
    assert_eq!(asked["summaries"], not_asked["summaries"]);

    let page = fs::read_to_string(page.join("README.md")).expect("the page was written");
    let minutes = format!("{:.0}", lead_s / 60.0);
    let table = page.split("The prompt before the end of hearts").nth(1).expect("the table");
    let line = "| more/other | col_weak | healthy |";
    let row = table.lines().find(|row| row.starts_with(line)).expect("a row a run");
    assert!(row.split([' ', '|']).any(|cell| cell == minutes), "{row} has no {minutes}");
    assert!(page.contains("Healthy runs with an answer not trusted"), "{page}");
}

#[test]
fn playing_live_without_a_truth_changes_nothing() {
    let (dir, out) = (collection(false), tempfile::tempdir().expect("a test folder can be made"));
    let moments = out.path().join("moments.csv");
    fs::write(&moments, "run,at_fraction,made_at_s\nalone,0.5,9000\n").expect("written");
    let plain = ["benchmark", typed(dir.path()), "--at", typed(&moments)];
    for further in [&[][..], &["--json"]] {
        let plain = [&plain[..], further].concat();
        assert_eq!(printed(&plain), printed(&[&plain[..], &["--replay"]].concat()));
    }
}

#[test]
fn a_forecast_uses_nothing_recorded_later() {
    let out = tempfile::tempdir().expect("a test folder can be made");
    let (start, end) = hearts_s(&POT);
    let at = (start + 0.5 * (end - start)).floor();
    let moments = out.path().join("moments.csv");
    fs::write(&moments, format!("run,at_fraction,made_at_s\nwhole,0.5,{at}\n")).expect("written");
    let (whole, cut) = (out.path().join("a"), out.path().join("b"));
    write_run(&whole.join("whole"), &POT, false);
    let mut folder = POT.clone();
    folder.rows = folder.rows.until(at);
    assert!(folder.rows.last_s() <= at);
    store::folder::write(&cut.join("whole"), &folder).expect("a run folder can be written");
    let [first, second] = ["first.csv", "second.csv"].map(|name| out.path().join(name));
    for (from, to) in [(&whole, &first), (&cut, &second)] {
        let said =
            printed(&["benchmark", typed(from), "--at", typed(&moments), "--csv", typed(to)]);
        assert!(said.contains("nothing is scored"), "{said}");
    }
    let text = fs::read_to_string(first).expect("the forecasts were written");
    assert!(text.contains(&format!("whole,0.5,{at},")), "{text}");
    assert_eq!(text, fs::read_to_string(second).expect("the forecasts were written"));
}

#[test]
fn the_page_is_the_same_twice_and_every_picture_is_there() {
    let (dir, out) = (collection(true), tempfile::tempdir().expect("a test folder can be made"));
    let moments = out.path().join("moments.csv");
    let rows = "run,at_fraction,made_at_s\nalone,0.5,9000\nmore/other,0.5,9000\n";
    fs::write(&moments, rows).expect("a test file can be written");
    let csv = out.path().join("forecasts.csv");
    printed(&["benchmark", typed(dir.path()), "--at", typed(&moments), "--csv", typed(&csv)]);
    let pages = ["first", "second"].map(|name| out.path().join(name));
    for page in &pages {
        printed(&[
            "benchmark",
            typed(dir.path()),
            "--score-only",
            typed(&csv),
            "--report",
            typed(page),
        ]);
    }
    let read =
        |page: &Path, name: &str| fs::read_to_string(page.join(name)).expect("the file is there");
    let text = read(&pages[0], "README.md");
    let pictures: Vec<&str> =
        text.split("](").skip(1).filter_map(|rest| rest.split(')').next()).collect();
    assert!(
        pictures.contains(&"places-end.svg") && pictures.contains(&"run-more-other.svg"),
        "{pictures:?}"
    );
    for name in pictures.iter().chain(&["README.md"]) {
        assert_eq!(read(&pages[0], name), read(&pages[1], name), "{name}");
    }
    assert!(text.contains("simulated"), "the page says what its recordings are");
    for folder in [dir.path(), out.path()] {
        assert!(!text.contains(typed(folder)), "no path of this machine");
    }
}

#[test]
fn moments_that_cannot_be_meant_are_refused() {
    let (dir, out) = (collection(false), tempfile::tempdir().expect("a test folder can be made"));
    let file = out.path().join("moments.csv");
    let rows = [
        ("run,at_fraction,made_at_s\nelsewhere,0.5,900\n", "elsewhere"),
        ("run,at_fraction,made_at_s\nalone,0.5,900\nalone,0.5,901\n", ":3: at_fraction"),
        ("run,at_fraction,made_at_s\nalone,0.5,9000000\n", "9000000"),
        ("run,at_fraction,made_at_s\nalone,0.5,-1\n", "made_at_s"),
        ("run,at_fraction,made_at_s\nalone,1.5,900\n", "1.5"),
        ("run,at_fraction,made_at_s\nalone,half,900\n", "half"),
        ("run,at_fraction,made_at_s\nalone,0.5,NaN\n", "NaN"),
        ("run,at_fraction,made_at_s\nalone,0.5\n", "2 fields"),
        ("run,at_fraction\nalone,0.5\n", "made_at_s is missing"),
        ("run,at_fraction,made_at_s,mood\nalone,0.5,900,good\n", "mood"),
        ("run,at_fraction,made_at_s\n", "no moment"),
        ("", "run is missing"),
    ];
    for (text, names) in rows {
        fs::write(&file, text).expect("a test file can be written");
        let said = refused(&["benchmark", typed(dir.path()), "--at", typed(&file)]);
        assert!(
            said.contains(names) && said.contains("moments.csv"),
            "\"{names}\" is not named in: {said}"
        );
    }
    let said = refused(&["benchmark", typed(dir.path())]);
    assert!(said.contains("outcome.json") && said.contains("--at"), "{said}");
}

#[test]
fn folders_and_files_that_are_not_there_are_refused() {
    let (dir, empty) = (collection(true), tempfile::tempdir().expect("a test folder can be made"));
    let folder = typed(dir.path());
    assert!(refused(&["benchmark", "nowhere"]).contains("nowhere"));
    assert!(refused(&["benchmark", typed(empty.path())]).contains("no run folder"));
    assert!(refused(&["benchmark", folder, "--at", "nowhere.csv"]).contains("nowhere.csv"));
    assert!(refused(&["benchmark", folder, "--jobs", "0"]).contains("--jobs"));
    let file = empty.path().join("theirs.csv");
    for (row, names) in [
        ("alone,0.5,900,1,2,3,4,5,1,2,3,4,x", "litres_p975"),
        ("alone,0.5,900,1,3,2,4,5,1,2,3,4,5", "3 then 2"),
        ("elsewhere,0.5,900,1,2,3,4,5,1,2,3,4,5", "no forecast in it"),
    ] {
        fs::write(&file, format!("{FORECAST_COLUMNS}\n{row}\n"))
            .expect("a test file can be written");
        let said = refused(&["benchmark", folder, "--baseline", typed(&file)]);
        assert!(said.contains(names), "\"{names}\" is not named in: {said}");
    }
    let outcome = dir.path().join("alone/outcome.json");
    fs::write(&outcome, "{\"hearts_start_s\": 5}").expect("a test file can be written");
    assert!(refused(&["benchmark", folder]).contains("end_of_hearts_s"));
    let mut text = String::new();
    let _ = write!(text, "{{\"hearts_start_s\": 9, \"end_of_hearts_s\": 5, \"hearts_l_20c\": 1}}");
    fs::write(&outcome, text).expect("a test file can be written");
    assert!(refused(&["benchmark", folder]).contains("later than hearts_start_s"));
}

#[test]
fn numbered_folders_of_one_still_are_a_series() {
    let dir = tempfile::tempdir().expect("a test folder can be made");
    for name in ["garden/1", "garden/2", "mixed/1", "mixed/2"] {
        write_run(&dir.path().join(name), &POT, true);
    }
    // A second still of another size: numbered by chance.
    let plan = dir.path().join("mixed/2/run.toml");
    let text = fs::read_to_string(&plan).expect("the plan is there");
    assert!(text.contains("boiler_litres = 28.0"), "{text}");
    fs::write(&plan, text.replace("boiler_litres = 28.0", "boiler_litres = 30.0"))
        .expect("written");
    let scores = printed(&["benchmark", typed(dir.path()), "--no-learning", "--json"]);
    let scores: Value = serde_json::from_str(&scores).expect("--json prints one object");
    assert_eq!((&scores["runs"], &scores["series"]), (&4.into(), &1.into()));
}
