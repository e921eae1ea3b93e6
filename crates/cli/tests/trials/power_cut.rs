//! The mains go in the first twenty minutes of hearts and take the readings with them: the cooled
//! head is no plateau, ends no hearts and runs away from nothing.

use std::thread::scope;

use sense::RecordedRun;
use serde_json::{Value, json};

use crate::figures::Figures;
use crate::past::{Cut, Past, example, rehearsed};
use crate::run::{Run, cells, codes, every_second};
use crate::served::Served;

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

/// What is wrong with what the server says; the plateau it knows, °C.
fn judged(shown: &Value) -> (Vec<String>, Option<f64>) {
    let mut wrong = Vec::new();
    if shown["knowledge"]["step"]["kind"] != "hearts" || !shown["ended"].is_null() {
        wrong.push(format!("the step is {}", shown["knowledge"]["step"]));
    }
    let early = ["slow_phase", "hearts_end_near", "head_running_away"];
    let said = codes(&shown["events"]).filter(|code| early.contains(code));
    wrong.extend(said.map(|code| format!("said {code}")));
    let plateau_c = shown["knowledge"]["rise"]["plateau_c"].as_f64();
    (wrong, plateau_c)
}

fn told(wrong: &[String]) -> String {
    if wrong.is_empty() { "nothing wrong".to_owned() } else { wrong.join("; ") }
}

/// All of it is past.
fn played(past: &Past) -> Value {
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let served = Served::start(folder.path());
    Run::begin(&served, past, 1.0).shown(&served)
}

/// The readings come back while the server runs; what it said, and the head's range then, °C.
fn returned(past: &Past, back_s: f64) -> (Value, (f64, f64)) {
    let folder = tempfile::tempdir().expect("a test folder can be made");
    let served = Served::start(folder.path());
    let before = Past { rows: until(&past.rows, back_s), ..past.clone() };
    let run = Run::begin(&served, &before, back_s - LEAD_S - before.rows.last_s());
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
    (run.shown(&served), heads_c)
}

fn until(rows: &RecordedRun, back_s: f64) -> RecordedRun {
    rows.until(back_s - LEAD_S - 1.0)
}

#[test]
fn a_power_cut_early_in_hearts_makes_no_plateau_and_ends_nothing() {
    let mut figures = Figures::of("power cut");
    let plan = example("perry");
    let whole = rehearsed(&plan, 13, 1500.0, None);
    let (wrong, sound_c) = judged(&played(&whole));
    let sound_c = sound_c.unwrap_or(f64::NAN);
    let words = format!("plateau {sound_c:.2} °C, {}", told(&wrong));
    figures.tell("without a cut", words, "nothing wrong", wrong.is_empty());
    let cut = |from_s: f64| Cut { from_s, to_s: from_s + CUT_S };
    let played = scope(|scope| {
        let threads = FROM_S.map(|from_s| {
            let plan = &plan;
            scope.spawn(move || {
                let for_s = from_s + CUT_S;
                let past = rehearsed(plan, 13, PAST_S, Some(cut(from_s)));
                let live = rehearsed(plan, 13, for_s + f64::from(LIVE_S), Some(cut(from_s)));
                let back_s = live.hearts_s + for_s;
                (judged(&played(&past)), returned(&live, back_s))
            })
        });
        threads.map(|thread| thread.join().expect("the cut is played"))
    });
    for (from_s, ((wrong, plateau_c), (live, heads_c))) in FROM_S.into_iter().zip(played) {
        let at = format!("cut after {:.0} min of hearts", from_s / 60.0);
        let off_k = (plateau_c.unwrap_or(f64::NAN) - sound_c).abs();
        figures.at_most(&format!("{at}: plateau off in the end"), off_k, PLATEAU_OFF_K, "K");
        let what = format!("{at}: ends, runs away");
        figures.tell(&what, told(&wrong), "nothing wrong", wrong.is_empty());
        let (mut wrong, plateau_c) = judged(&live);
        if let Some(off_k) = plateau_c.map(|c| (c - sound_c).abs()).filter(|k| *k > PLATEAU_OFF_K) {
            wrong.push(format!("plateau off by {off_k:.1} K"));
        }
        let words = format!("head {:.0} to {:.0} °C, {}", heads_c.0, heads_c.1, told(&wrong));
        figures.tell(&format!("{at}: live again"), words, "nothing wrong", wrong.is_empty());
    }
    figures.finish();
}
