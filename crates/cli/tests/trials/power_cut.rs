//! The mains go in the first twenty minutes of hearts and take the readings with them: the cooled
//! head is no plateau, ends no hearts and runs away from nothing.

use std::thread::scope;

use serde_json::{Value, json};
use store::folder::RunFolder;

use crate::figures::Figures;
use crate::past::{Cut, Past, example, rehearsed};
use crate::run::{Run, cells, every_second};
use crate::served::{Served, program, typed};

/// How long nothing is read, s.
const CUT_S: f64 = 480.0;
/// When the mains go, s of hearts.
const FROM_S: [f64; 4] = [120.0, 360.0, 660.0, 1080.0];
/// How long the still is followed live after it is read again, s, and how long before that the trial
/// begins: the server goes through the hours before meanwhile.
const LIVE_S: u32 = 240;
const LEAD_S: f64 = 40.0;
/// How long the hearts run where all of it is past, s: twenty minutes of vapour are over by then,
/// with the cut and the time to boil again, and by the plan they go on for longer.
const PAST_S: f64 = 2280.0;
/// How far the plateau may lie from that of the same still without a cut, K: the noise of the probes,
/// and the charge that is drawn on meanwhile. Judgement; a cooled head would be off by kelvins.
const PLATEAU_OFF_K: f64 = 0.2;
/// Seed of the probes' noise.
const SEED: u64 = 13;
/// What should be found.
const NOTHING: &str = "nothing wrong";

/// What is wrong with what was said, in words.
fn wrong<'a>(said: impl Iterator<Item = &'a Value>) -> String {
    let early = |event: &&Value| match event["code"].as_str() {
        Some("head_running_away" | "slow_phase" | "run_ended") => true,
        // That they are near may be said; that they end is urgent.
        Some("hearts_end_near") => event["priority"] == "high",
        _ => false,
    };
    let words: Vec<String> =
        said.filter(early).map(|event| format!("said {}", event["text"])).collect();
    if words.is_empty() { NOTHING.to_owned() } else { words.join("; ") }
}

/// What the server says: still in hearts, and the plateau it knows, °C.
fn known(shown: &Value) -> (bool, Option<f64>) {
    let hearts = shown["knowledge"]["step"]["kind"] == "hearts" && shown["ended"].is_null();
    (hearts, shown["knowledge"]["rise"]["plateau_c"].as_f64())
}

/// All of it is past: what the server knows in the end, and what a replay says on the way.
fn played(past: &Past) -> ((bool, Option<f64>), String) {
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let served = Served::start(folder.path());
    let shown = Run::begin(&served, past, 1.0).shown(&served);
    let of_run = folder.path().join("run");
    let run = RunFolder::new(past.plan.clone(), past.rows.clone());
    store::folder::write(&of_run, &run).expect("a run folder can be written");
    let output = program().args(["replay", typed(&of_run), "--forecasts", "--json"]).output();
    let printed = output.expect("the program can be started").stdout;
    let heard: Value = serde_json::from_slice(&printed).expect("a replay answers in JSON");
    let events = heard["events"].as_array().expect("a list").iter();
    // The end of the folder is the end of its run.
    let before_end = events.filter(|event| event["code"] != "run_ended");
    (known(&shown), wrong(before_end))
}

/// What a server said from when the readings came back.
struct Returned {
    hearts: bool,
    plateau_c: Option<f64>,
    wrong: String,
    /// Lowest and highest head that was read, °C.
    heads_c: (f64, f64),
}

/// The readings come back while the server runs.
fn returned(past: &Past, back_s: f64) -> Returned {
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let served = Served::start(folder.path());
    let before = Past { rows: past.rows.until(back_s - LEAD_S), ..past.clone() };
    let run = Run::begin(&served, &before, back_s - LEAD_S - before.rows.last_s());
    let said_before = run.shown(&served)["events"].as_array().expect("a list").len();
    let mut rest = past.rows.readings.iter().filter(|row| row.0 >= back_s).peekable();
    let mut heads_c = (f64::INFINITY, f64::NEG_INFINITY);
    every_second(LIVE_S + 60, |_| {
        while let Some((_, reading)) = rest.next_if(|row| row.0 <= run.passed_s()) {
            run.read(&served, &json!(cells(reading)));
            let head_c = reading.get(sense::Probe::Head).expect("it is read");
            heads_c = (heads_c.0.min(head_c), heads_c.1.max(head_c));
        }
        rest.peek().is_none()
    });
    let shown = run.shown(&served);
    let (hearts, plateau_c) = known(&shown);
    let said = shown["events"].as_array().expect("a list").iter().skip(said_before);
    Returned { hearts, plateau_c, wrong: wrong(said), heads_c }
}

#[test]
fn a_power_cut_early_in_hearts_makes_no_plateau_and_ends_nothing() {
    let mut figures = Figures::of("power cut");
    let plan = example("perry");
    let ((hearts, sound_c), said) = played(&rehearsed(&plan, SEED, PAST_S, None));
    let sound_c = sound_c.unwrap_or(f64::NAN);
    let words = format!("plateau {sound_c:.2} °C, {said}");
    figures.tell("without a cut", words, NOTHING, hearts && said == NOTHING);
    let found = scope(|scope| {
        let threads = FROM_S.map(|from_s| {
            let plan = &plan;
            scope.spawn(move || {
                let to_s = from_s + CUT_S;
                let of = |for_s: f64| rehearsed(plan, SEED, for_s, Some(Cut { from_s, to_s }));
                let live = of(to_s + f64::from(LIVE_S));
                (played(&of(PAST_S)), returned(&live, live.hearts_s + to_s))
            })
        });
        threads.map(|thread| thread.join().expect("the cut is played"))
    });
    for (from_s, (((hearts, plateau_c), said), live)) in FROM_S.into_iter().zip(found) {
        let at = format!("cut after {:.0} min of hearts", from_s / 60.0);
        let off_k = |plateau_c: Option<f64>| (plateau_c.unwrap_or(f64::NAN) - sound_c).abs();
        let what = format!("{at}: plateau off in the end");
        figures.at_most(&what, off_k(plateau_c), PLATEAU_OFF_K, "K");
        figures.tell(&format!("{at}: replayed"), &said, NOTHING, hearts && said == NOTHING);
        let (low_c, high_c) = live.heads_c;
        let words = format!("head {low_c:.0} to {high_c:.0} °C, {}", live.wrong);
        let held = live.hearts && live.wrong == NOTHING;
        figures.tell(&format!("{at}: live again"), words, NOTHING, held);
        // Known before only where it was known before the cut: live, four minutes make none.
        let made = live.plateau_c.map_or("none".to_owned(), |c| format!("{c:.2} °C"));
        let held = live.plateau_c.is_none_or(|_| off_k(live.plateau_c) <= PLATEAU_OFF_K);
        let bound = format!("none, or off by {PLATEAU_OFF_K} K at most");
        figures.tell(&format!("{at}: plateau, live"), made, &bound, held);
    }
    figures.finish();
}
