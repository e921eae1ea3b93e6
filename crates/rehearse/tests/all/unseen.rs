//! What ran while nothing showed the still: in doubt, not counted where it did not boil, and no
//! ground to tell anybody what to do.

use advise::{Knowledge, Live, LiveOptions};
use estimate::{Settings, estimate};
use rehearse::{Manner, Rehearsal};
use sense::{Action, JarRecord, Probe, Reading, RecordedRun};
use still::Fraction;
use still::plan::{StepKind, TakeOff};

use crate::common::{Scene, column, hot, pot};

/// Pure alcohol drawn, L.
fn drawn(known: &Knowledge) -> quantities::Band {
    known.drawn.as_ref().expect("spirit was drawn").pure_alcohol_l.at
}

fn sums_close(known: &Knowledge) {
    let account = &known.account;
    let parts = [account.drawn_l, account.held_l, account.lost_l, account.left_l];
    let sum: f64 = parts.iter().map(|part| part.p50).sum();
    assert!((sum - account.charged_l.p50).abs() < 1e-9, "{account:?}");
}

/// The course that was tried: 12 min without power in the hearts, then a head of 48 °C at full heat.
#[test]
fn a_power_cut_of_twelve_minutes_draws_nothing() {
    let mut scene = Scene::hearts();
    let before = scene.live.knowledge();
    scene.run(720, |_| None);
    let cut = scene.live.knowledge();
    assert!(drawn(&cut).p50 > drawn(&before).p50 + 0.1, "as if it ran on");
    assert!(drawn(&cut).p10 <= drawn(&before).p50, "{:?}", drawn(&cut));
    let width = |known: &Knowledge| known.account.left_l.p90 - known.account.left_l.p50;
    assert!(width(&cut) > width(&before) + 0.1, "it may still be in the pot");
    assert!(cut.unknown.iter().any(|unknown| unknown.what == "drawn"), "{:?}", cut.unknown);
    assert!(cut.headline.contains("12 min"), "{}", cut.headline);
    sums_close(&cut);
    scene.run(300, |_| hot(48.0));
    let back = scene.live.knowledge();
    assert_eq!(scene.states("did_not_boil"), 1, "{:?}", scene.said);
    assert!((drawn(&back).p50 - drawn(&before).p50).abs() < 0.005, "{:?}", drawn(&back));
    assert!(drawn(&back).p975 > drawn(&before).p50 + 0.1, "some of it may have run");
    assert_eq!(back.takeoff_ml_per_min.as_ref().map(|rate| rate.at.p50), Some(0.0));
    assert_eq!(back.headline, "Warming up again.");
    sums_close(&back);
    scene.run(600, |_| hot(78.0));
    let boils = scene.live.knowledge();
    assert!(drawn(&boils).p50 > drawn(&back).p50 + 0.1, "ten minutes of hearts");
}

/// Readings that were lost while the still went on.
#[test]
fn what_ran_while_nothing_was_read_is_in_doubt_until_its_jar_is_measured() {
    let mut scene = Scene::hearts();
    scene.act(Action::Jar { number: 4 });
    let (before, opened) = (scene.live.knowledge(), scene.now as f64);
    scene.run(1200, |_| None);
    scene.run(120, |_| hot(78.0));
    let after = scene.live.knowledge();
    assert_eq!(scene.states("did_not_boil"), 0);
    assert!(drawn(&after).p10 <= drawn(&before).p50 + 0.06, "{:?}", drawn(&after));
    let volume_ml = 15.0 * 1320.0 / 60.0;
    let jar = JarRecord {
        number: 4,
        start_s: opened,
        end_s: scene.now as f64,
        volume_ml,
        apparent_vol: None,
        temperature_c: Some(20.0),
        note: String::new(),
        gauged_with: None,
        cut: Some(StepKind::Hearts),
    };
    scene.live.jar(&jar);
    let measured = scene.live.knowledge();
    assert!(drawn(&measured).p10 > drawn(&before).p50 + 0.2, "{:?}", drawn(&measured));
    assert!(measured.unknown.iter().all(|unknown| unknown.what != "drawn"));
    let (ran, told) = (drawn(&measured).p50, drawn(&after).p50);
    assert!((ran - told).abs() < 0.02, "{told} L, measured {ran} L");
}

#[test]
fn a_pot_that_fell_while_nothing_was_read_shows_that_nothing_was_drawn() {
    let pot_reads = |pot_c: f64| {
        move |second: u64| {
            let wobble = 0.06 * (second / 10 % 2) as f64;
            let row = Reading::default().with(Probe::Pot, pot_c + wobble);
            Some(row.with(Probe::Heater, 1800.0))
        }
    };
    for (after_c, counts) in [(91.0, false), (93.2, true)] {
        let mut scene = Scene::foretold(pot());
        scene.run(1800, pot_reads(93.0));
        for kind in [StepKind::Foreshots, StepKind::Heads, StepKind::Hearts] {
            scene.step(kind);
        }
        scene.run(900, pot_reads(93.0));
        let before = drawn(&scene.live.knowledge());
        scene.run(720, |_| None);
        scene.run(10, pot_reads(after_c));
        let after = drawn(&scene.live.knowledge());
        assert!(before.p50 > 0.05);
        assert_eq!(after.p50 > 1.1 * before.p50, counts, "{before:?} {after:?}");
    }
}

/// Somebody at the spout sees that it runs.
#[test]
fn a_take_off_that_is_timed_while_nothing_is_read_was_seen_to_run() {
    let mut scene = Scene::hearts();
    let before = drawn(&scene.live.knowledge());
    for _ in 0..4 {
        scene.run(300, |_| None);
        scene.act(Action::TakeOff { take_off: TakeOff::MlPerMin(15.0), measured: true });
    }
    let known = scene.live.knowledge();
    assert!(drawn(&known).p10 > before.p50 + 0.15, "{:?}", drawn(&known));
}

#[test]
fn no_step_is_said_to_be_drawn_by_what_was_reckoned_while_nothing_was_read() {
    for cut in [true, false] {
        let mut scene = Scene::heating(column());
        scene.run(600, |_| hot(78.0));
        scene.step(StepKind::Equalise);
        scene.run(600, |_| hot(78.0));
        scene.step(StepKind::Foreshots);
        scene.run(60, |_| hot(78.0));
        scene.run(900, |_| if cut { None } else { hot(78.0) });
        assert_eq!(scene.prompts("foreshots_done").is_empty(), cut, "40 mL at 5 mL/min");
    }
}

/// A head that begins to rise, and is lost before that has shown for long enough.
#[test]
fn no_prompt_comes_from_a_head_that_is_not_read_any_more() {
    for lost_s in (280..400).step_by(10) {
        let mut scene = Scene::heating(column());
        scene.run(600, |_| hot(78.0));
        scene.step(StepKind::Equalise);
        scene.run(600, |_| hot(78.0));
        for kind in [StepKind::Foreshots, StepKind::Heads, StepKind::Hearts] {
            scene.step(kind);
        }
        scene.run(600, |_| hot(78.0));
        scene.run(lost_s, |second| hot(78.0 + 0.0008 * second as f64));
        // Three readings are missed: it is old.
        scene.run(31, |_| None);
        let old_s = scene.now as f64;
        scene.run(45, |_| None);
        // One that was said while it was read is said again after a minute.
        let first = scene.prompts("hearts_end_near").first().map(|prompt| prompt.time_s);
        assert!(first.is_none_or(|at_s| at_s <= old_s), "lost after {lost_s} s");
    }
}

/// A pot with a pot thermometer alone, whose readings end early in the hearts.
#[test]
fn a_pot_of_which_nothing_is_read_any_more_is_not_told_that_its_hearts_end() {
    let plan = pot();
    let mut live = Live::new(plan.clone(), LiveOptions::default()).expect("the plan is sound");
    let mut rehearsal = Rehearsal::new(&plan, 3, true).expect("the plan is sound");
    let (mut due, mut hearts_s): (_, Option<u64>) = (Vec::new(), None);
    for second in 0..20_000 {
        let mut part = rehearsal.second(second, &due).expect("the still can be simulated");
        let lost = hearts_s.is_some_and(|at| second > at + 300);
        if lost {
            part.readings.clear();
        }
        for (_, row) in &mut part.readings {
            row.set(Probe::Head, None);
        }
        due = live.rows(&part);
        due.extend(live.tick(second));
        let known = live.knowledge();
        if known.step.kind == StepKind::Hearts {
            hearts_s.get_or_insert(second);
        }
        if lost && hearts_s.is_some_and(|at| second > at + 360) {
            let told = due.iter().find(|event| event.code == "hearts_end_near");
            assert!(told.is_none(), "{second}: {told:?}");
            assert!(known.strength_now.is_none(), "{:?}", known.strength_now);
        }
        if hearts_s.is_some_and(|at| second > at + 7200) || live.end().is_some() {
            break;
        }
    }
    assert!(hearts_s.is_some(), "the hearts were drawn");
}

/// A cut early in the hearts, and what is said 41 min into them.
#[test]
fn after_a_power_cut_the_plateau_is_said_to_come_after_the_minutes_that_are_left() {
    let mut scene = Scene::early_hearts();
    let why = |scene: &Scene| {
        let known = scene.live.knowledge();
        known.unknown.into_iter().find(|unknown| unknown.what == "rise").map(|rise| rise.why)
    };
    assert!(why(&scene).is_some_and(|why| why.ends_with("20 min of hearts, not before")));
    scene.run(720, |_| None);
    scene.run(600, |_| hot(48.0));
    scene.run(600, |_| hot(78.0));
    let told = why(&scene).expect("36 min into the hearts it is not known");
    assert!(told.contains("6 min of them are to come"), "{told}");
    scene.run(420, |_| hot(78.0));
    assert_eq!(why(&scene), None);
}

/// A run of the bench column whose mains go for seven minutes: engine, rows and what really was
/// drawn two minutes after they are back; none where they did not go in the hearts.
fn after_a_cut(seed: u64) -> Option<(Live, RecordedRun, Fraction, Fraction)> {
    let options = LiveOptions { estimate: false, ..LiveOptions::default() };
    let mut live = Live::new(column(), options).expect("the plan is sound");
    let mut rehearsal =
        Rehearsal::attended(&column(), seed, Manner::PowerCut).expect("the plan is sound");
    let (mut due, mut rows) = (Vec::new(), RecordedRun::default());
    let (mut read, mut hearts, mut back) = (0, false, None);
    for second in 0..12_000 {
        let part = rehearsal.second(second, &due).expect("the still can be simulated");
        if let Some(row) = part.readings.last() {
            let read_s = std::mem::replace(&mut read, second);
            if row.0 > read_s as f64 + 200.0 && hearts {
                back = Some(second);
            }
        }
        rows.append(part.clone());
        due = live.rows(&part);
        due.extend(live.tick(second));
        hearts = live.knowledge().step.kind == StepKind::Hearts;
        if back.is_some_and(|at| second >= at + 120) {
            let truth = rehearsal.truth().expect("the still can be simulated");
            return Some((live, rows, truth.drawn, truth.pot));
        }
    }
    None
}

#[test]
fn after_a_cut_engine_and_estimate_have_what_the_still_really_holds() {
    let mut cuts = 0;
    for (live, rows, ran, pot) in (0..12).filter_map(after_a_cut).take(3) {
        let told = drawn(&live.knowledge());
        let at_s = live.knowledge().time_s;
        let outlook = estimate(&column(), &rows, at_s, None, Settings::default()).expect("sound");
        let real_l = ran.pure_alcohol_l;
        assert!((told.p50 - real_l).abs() < 0.04, "{at_s} s: {told:?}, {real_l} L");
        assert!(told.p10 <= real_l && real_l <= told.p90, "{at_s} s: {told:?}, {real_l} L");
        let (left, real_l) = (outlook.pot_alcohol_l, pot.pure_alcohol_l);
        assert!((left.p50 - real_l).abs() < 0.04, "{at_s} s: {left:?}, {real_l} L");
        cuts += 1;
    }
    assert_eq!(cuts, 3);
}

/// The plan's own times say nothing of a still that nobody reads.
#[test]
fn all_readings_lost_while_heating_leave_no_forecast_shown() {
    let mut scene = Scene::foretold(column());
    scene.run(300, |_| hot(20.0));
    let read = scene.live.knowledge();
    assert!(read.ends.len() > 2 && read.hearts_to_come_l.is_some(), "{:?}", read.ends);
    scene.run(300, |_| None);
    let lost = scene.live.knowledge();
    assert!(lost.ends.is_empty() && lost.hearts_in_all_l.is_none(), "{:?}", lost.ends);
    assert!(lost.jars.iter().all(|jar| jar.status != "expected"), "{:?}", lost.jars);
    for what in ["end", "litres", "strength"] {
        assert!(lost.unknown.iter().any(|unknown| unknown.what == what), "{:?}", lost.unknown);
    }
    assert!(lost.instruction.as_ref().is_none_or(|told| told.due.is_none()), "no time either");
    scene.run(30, |_| hot(20.0));
    assert!(!scene.live.knowledge().ends.is_empty(), "it is read again");
}
