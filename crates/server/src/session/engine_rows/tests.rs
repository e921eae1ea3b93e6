//! An engine whose questions are answered beside it says the same as one left to itself, and its
//! past is not worked out again.

use advise::{Live, LiveOptions};
use rehearse::Rehearsal;
use sense::Action;
use sense::SecondRows;
use still::plan::RunPlan;

use super::super::row::{Row, in_order};
use super::EngineRows;

/// How many questions are answered before the look.
const QUESTIONS: usize = 6;
/// By then a still must have asked them.
const SECONDS_MAX: u64 = 4 * 3600;

/// A engine in mid-run, half a minute after its last question was answered, and what it was fed.
struct MidRun {
    plan: RunPlan,
    rows: Vec<SecondRows>,
    engine: EngineRows,
}

fn mid_run() -> MidRun {
    let plan = crate::example::house().plans[0].1.clone();
    let mut still = Rehearsal::new(&plan, 3, true).unwrap();
    let mut engine = EngineRows::of(Live::new(plan.clone(), LiveOptions::default()).unwrap());
    let (mut rows, mut due, mut asked) = (Vec::new(), Vec::new(), 0);
    for second in 0..SECONDS_MAX {
        let of_second = still.second(second, &due).unwrap();
        due = in_order(&of_second).into_iter().flat_map(|row| engine.put(row)).collect();
        due.extend(engine.tick(second));
        rows.push(of_second);
        if let Some((ticket, request)) = engine.take_question() {
            asked += 1;
            engine.answered(ticket, request.compute());
        }
        if asked == QUESTIONS && second % 60 == 30 {
            return MidRun { plan, rows, engine };
        }
    }
    panic!("{asked} questions in {SECONDS_MAX} s");
}

fn note(entry: u64, time_s: f64) -> Row {
    Row::Action(entry, time_s, Action::Note { text: "late".to_owned() })
}

#[test]
fn an_answered_engine_says_what_one_left_to_itself_says() {
    let MidRun { plan, rows, engine } = mid_run();
    let mut alone = Live::new(plan, LiveOptions::default()).unwrap();
    for (second, rows) in (0..).zip(&rows) {
        alone.rows(rows);
        alone.tick(second);
    }
    assert_eq!(engine.knowledge(), alone.knowledge());
    assert_eq!(engine.answers.current_count(), QUESTIONS);
}

#[test]
fn a_late_row_leaves_what_was_answered_before_it() {
    let MidRun { rows, mut engine, .. } = mid_run();
    let last = rows.len() as u64 - 1;
    let before = engine.knowledge();
    engine.put(note(901, last as f64 - 31.5));
    // The question of half a minute ago is after the row: it is asked again, the others are not.
    assert_eq!(engine.answers.current_count(), QUESTIONS - 1);
    let (ticket, request) = engine.take_question().expect("it is asked again");
    assert!(!engine.awaits(last) && engine.awaits(last + 30));
    engine.amend(&[901], None);
    engine.answered(ticket, request.compute());
    assert!(engine.awaits(last + 30), "an answer to what does not hold any more is dropped");
    let (ticket, request) = engine.take_question().expect("and again");
    engine.answered(ticket, request.compute());
    assert!(!engine.awaits(last + 30));
    assert_eq!(engine.knowledge(), before);
    assert_eq!(engine.answers.current_count(), QUESTIONS);
}

#[test]
fn a_run_opened_again_works_out_its_newest_answers_only() {
    let MidRun { plan, rows, .. } = mid_run();
    let last = rows.len() as u64 - 1;
    let mut again = EngineRows::of(Live::new(plan.clone(), LiveOptions::default()).unwrap());
    again.play_until(last);
    for (second, rows) in (0..).zip(&rows) {
        for row in in_order(rows) {
            again.put(row);
        }
        again.tick(second);
    }
    assert_eq!(again.answers.current_count(), 2);
    assert!(again.take_question().is_some(), "the newest has time");
    again.let_pass();
    assert!(!again.awaits(last + 3600) && again.take_question().is_none());
    again.tick(last + 1);
}

/// Rows of ten feeders that stamp theirs a second and a half before they come.
#[test]
fn ten_late_feeders_replay_a_few_seconds_each_and_nothing_is_said_twice() {
    let MidRun { mut engine, rows, .. } = mid_run();
    let from = rows.len() as u64;
    let reading = sense::Reading::default();
    let mut said = Vec::new();
    let mut most = 0;
    for second in from..from + 40 {
        engine.tick(second);
        for feeder in 0..10 {
            let time_s = second as f64 - 1.5 + f64::from(feeder) * 0.01;
            let before = engine.replayed;
            said.extend(engine.put(Row::Reading(0, time_s, reading)));
            most = most.max(engine.replayed - before);
        }
        engine.put(note(1000 + second, second as f64 + 0.5));
    }
    assert!(most <= 7, "{most} seconds for one row");
    let mut codes: Vec<_> = said.iter().map(|event| event.code).collect();
    codes.sort_unstable();
    codes.dedup();
    assert_eq!(codes.len(), said.len(), "{said:?}");
}

#[test]
fn an_undo_of_minutes_ago_replays_from_the_checkpoint_before_it() {
    let MidRun { mut engine, rows, .. } = mid_run();
    let last = rows.len() as u64 - 1;
    for (ago, most) in [(100_u64, 165), (1500, 2105)] {
        engine.put(note(901, last as f64 - ago as f64 - 0.5));
        let before = engine.replayed;
        engine.amend(&[901], None);
        assert!(engine.replayed - before <= most, "{} s", engine.replayed - before);
    }
}

/// A feeder that reads each ten seconds and sends it together each five minutes.
#[test]
fn a_feeder_that_gathers_is_known_at_its_third_post_and_is_not_lost_between_two() {
    let plan = crate::example::house().plans[0].1.clone();
    let options = LiveOptions { estimate: false, ..LiveOptions::default() };
    let mut engine = EngineRows::of(Live::new(plan, options).unwrap());
    let mut good = Vec::new();
    for second in 0..1700_u32 {
        if second > 0 && second % 300 == 0 && second <= 900 {
            let row = |at: u32| {
                let head_c = 20.0 + f64::from(at) / 100.0;
                let row = sense::Reading::default().with(sense::Probe::Head, head_c);
                Row::Reading(0, f64::from(at), row)
            };
            engine.put_all((second - 300..second).step_by(10).map(row).collect());
        }
        engine.tick(u64::from(second));
        if second % 300 == 299 {
            let channels = engine.live.knowledge().channels;
            let head = channels.iter().find(|channel| channel.name == "head_c").unwrap();
            good.push(head.quality == advise::ChannelState::Good);
        }
    }
    // Nothing came; two posts say nothing of a third; the third does; ten minutes are too old.
    assert_eq!(good, [false, false, false, true, false]);
}

/// However rows come, what is known in the end is what a replay of them in order knows.
#[test]
fn rows_in_any_order_within_the_window_end_as_a_replay_does() {
    let MidRun { plan, rows, .. } = mid_run();
    let options = LiveOptions { estimate: false, ..LiveOptions::default() };
    let mut late = EngineRows::of(Live::new(plan.clone(), options.clone()).unwrap());
    let mut alone = Live::new(plan, options).unwrap();
    let (mut said, mut said_alone) = (Vec::new(), Vec::new());
    for (second, three) in (0..).step_by(3).zip(rows.chunks_exact(3)) {
        for (at, rows) in (second..).zip(three) {
            said_alone.extend(alone.rows(rows));
            said_alone.extend(alone.tick(at));
        }
        // All three seconds are over before their rows come, the last first.
        said.extend((second..second + 3).flat_map(|at| late.tick(at)));
        said.extend(three.iter().rev().flat_map(|rows| late.put_all(in_order(rows))));
    }
    assert_eq!(late.knowledge(), alone.knowledge());
    let codes = |said: &[advise::Event]| -> std::collections::BTreeSet<&'static str> {
        said.iter().map(|event| event.code).collect()
    };
    assert!(codes(&said).is_superset(&codes(&said_alone)));
}
