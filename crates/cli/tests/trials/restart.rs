//! A server that goes down beside twenty finished runs: the real one goes on, at once.

use std::path::Path;
use std::thread::sleep;
use std::time::{Duration, Instant};

use serde_json::Value;
use store::folder::RunFolder;

use crate::figures::{Figures, percentile};
use crate::past::{example, rehearsed, whole};
use crate::run::{Run, time_s};
use crate::served::{Served, program, typed};

/// Runs that are taken in.
const IMPORTS: u64 = 20;
/// Longest from the start of the program to its first answer, and until the real run goes on, s.
const ANSWER_MAX_S: f64 = 1.0;
const GOES_ON_MAX_S: f64 = 3.0;
/// How far its run time may be off then, s.
const OFF_MAX_S: f64 = 2.0;
/// Longest to open a run that is over, ms: no fit is that quick.
const OPEN_MAX_MS: f64 = 100.0;
/// How long the real run is looked for, s.
const LOOKED_FOR: Duration = Duration::from_secs(20);

/// Takes finished runs of both example stills into the record.
fn import(data: &Path) {
    let plans = [example("perry"), example("low-wines")];
    for seed in 0..IMPORTS {
        let mut plan = plans[usize::from(seed % 2 == 1)].clone();
        plan.title = format!("From a folder {seed}");
        let folder = data.join(format!("from {seed}"));
        let run = RunFolder::new(plan.clone(), whole(&plan, 100 + seed));
        store::folder::write(&folder, &run).expect("a run folder can be written");
        let output = program().args(["import", typed(&folder), "--data", typed(data)]).output();
        let output = output.expect("the program can be started");
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "import {seed}: {said}");
    }
}

/// The runs of a state.
fn in_state<'a>(list: &'a Value, state: &str) -> Vec<&'a str> {
    let list = list.as_array().expect("a list").iter();
    list.filter(|run| run["state"] == state).map(|run| run["id"].as_str().expect("an id")).collect()
}

/// Starts the server and watches what it says; gives it back.
fn again(figures: &mut Figures, data: &Path, run: &Run, how: &str) -> Served {
    let began = Instant::now();
    let served = Served::start(data);
    let list = served.get("/api/runs");
    let answer_s = began.elapsed().as_secs_f64();
    figures.at_most(&format!("{how}: start to first answer"), answer_s, ANSWER_MAX_S, "s");
    let mut goes_on_s = f64::NAN;
    while began.elapsed() < LOOKED_FOR {
        let running = in_state(&served.get("/api/runs"), "running") == [run.id.as_str()];
        if running && (time_s(&run.shown(&served)) - run.passed_s()).abs() <= OFF_MAX_S {
            goes_on_s = began.elapsed().as_secs_f64();
            break;
        }
        sleep(Duration::from_millis(50));
    }
    let what = format!("{how}: the real run is the running one");
    figures.at_most(&what, goes_on_s, GOES_ON_MAX_S, "s");
    figures.all(&format!("{how}: imports are over"), in_state(&list, "ended").len(), 20);
    let (mut took_ms, mut estimated) = (Vec::new(), 0);
    for id in in_state(&list, "ended") {
        let asked = Instant::now();
        let shown = served.get(&format!("/api/runs/{id}"));
        took_ms.push(asked.elapsed().as_secs_f64() * 1000.0);
        estimated += usize::from(!shown["knowledge"]["estimate_made_at_s"].is_null());
    }
    // A fit would be in every one. One that is slower met the real run's own estimate, or what else
    // the machine does.
    let (median_ms, longest_ms) = (percentile(&mut took_ms, 0.5), percentile(&mut took_ms, 1.0));
    figures.at_most(&format!("{how}: opening an import, median"), median_ms, OPEN_MAX_MS, "ms");
    figures.note(&format!("{how}: opening an import, longest"), format!("{longest_ms:.0} ms"));
    let words = format!("{how}: imports fitted when opened");
    figures.tell(&words, estimated, "0", estimated == 0);
    served
}

#[test]
fn a_real_run_goes_on_after_a_stop_beside_twenty_imports() {
    let mut figures = Figures::of("restart");
    let folder = tempfile::tempdir().expect("a test folder can be made");
    import(folder.path());
    let past = rehearsed(&example("perry"), 21, 600.0, None);
    let served = Served::start(folder.path());
    let run = Run::begin(&served, &past, 1.0);
    sleep(Duration::from_secs(2));
    served.terminate();
    let served = again(&mut figures, folder.path(), &run, "after TERM");
    served.kill();
    again(&mut figures, folder.path(), &run, "after KILL").kill();
    figures.finish();
}
