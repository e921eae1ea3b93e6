//! A scale under the jar: what it weighs goes before what was set, and behind what was measured.

use advise::{Live, LiveOptions};
use rehearse::Rehearsal;
use sense::{Action, JarRecord, Probe, Reading};
use still::plan::{StepKind, TakeOff};

use crate::common::{Scene, column, hot};

/// Grams a minute that really run; 15 mL/min are set.
const RUNS_G_MIN: f64 = 20.0;
/// A litre of what runs, by the reckoned strength of about 94 % vol (OIML R 22).
const KG_PER_L: f64 = 0.8146;

/// A row of the boiling still with this on the scale.
fn weighs(kg: f64, row: u64) -> Option<Reading> {
    let noise = 0.0005 * (row as f64 * 0.7).sin();
    let kg = ((kg + noise) * 1000.0).round() / 1000.0;
    hot(78.0).map(|reading| reading.with(Probe::Receiver, kg))
}

/// Hearts under a scale since ten minutes.
fn weighed() -> Scene {
    let mut scene = Scene::hearts();
    scene.act(Action::Jar { number: 4 });
    scene.run(600, |at| weighs(0.42 + ran_kg(at), at));
    scene
}

fn ran_kg(seconds: u64) -> f64 {
    RUNS_G_MIN / 60_000.0 * seconds as f64
}

fn drawn_ml(live: &Live) -> f64 {
    1000.0 * live.knowledge().drawn.expect("spirit was drawn").litres.at.p50
}

fn open_jar(scene: &Scene) -> (u32, f64, bool) {
    let known = scene.live.knowledge();
    let open = known.jars.iter().find(|jar| jar.status == "open").expect("a jar is open");
    (open.number, open.volume_ml, open.measured)
}

fn rate(scene: &Scene) -> (f64, String) {
    let rate = scene.live.knowledge().takeoff_ml_per_min.expect("it runs");
    (rate.at.p50, rate.basis)
}

#[test]
fn what_is_weighed_goes_before_what_was_set() {
    let scene = weighed();
    let (ml, basis) = rate(&scene);
    assert!((ml - RUNS_G_MIN / KG_PER_L).abs() < 1.0, "{ml}");
    assert_eq!(basis, "weighed under the jar");
    let (number, ml, measured) = open_jar(&scene);
    let really = 1000.0 * ran_kg(600) / KG_PER_L;
    assert!(number == 4 && measured && (ml - really).abs() < 0.05 * really, "{ml} for {really}");
}

#[test]
fn a_jar_that_is_swapped_is_the_next_and_one_recorded_just_before_is_that_one() {
    let mut scene = weighed();
    scene.run(300, |at| weighs(0.43 + ran_kg(at), at));
    assert_eq!((open_jar(&scene).0, scene.states("jar_weighed")), (5, 1));
    scene.act(Action::Jar { number: 7 });
    assert_eq!(open_jar(&scene).0, 7, "recorded after: the same jar by its true number");
    assert!((open_jar(&scene).1 - 1000.0 * ran_kg(280) / KG_PER_L).abs() < 15.0);
    scene.act(Action::Jar { number: 8 });
    scene.run(300, |at| weighs(0.41 + ran_kg(at), at));
    assert_eq!((open_jar(&scene).0, scene.states("jar_weighed")), (8, 1));
}

#[test]
fn a_jar_that_is_lifted_and_put_back_keeps_its_number_and_its_spirit() {
    let mut scene = weighed();
    let before = drawn_ml(&scene.live);
    let on = 0.42 + ran_kg(600);
    scene.run(60, |at| weighs(0.0, at));
    scene.run(300, |at| weighs(on + ran_kg(60 + at), at));
    assert_eq!((open_jar(&scene).0, scene.states("jar_weighed")), (4, 0));
    let ran = 1000.0 * ran_kg(360) / KG_PER_L;
    assert!((drawn_ml(&scene.live) - before - ran).abs() < 8.0, "{ran}");
}

#[test]
fn a_bottle_set_on_the_scale_is_no_spirit() {
    let mut scene = weighed();
    let before = drawn_ml(&scene.live);
    let on = 0.42 + ran_kg(600);
    scene.run(600, |at| weighs(on + 0.55 + ran_kg(at), at));
    let ran = 1000.0 * ran_kg(600) / KG_PER_L;
    assert!((drawn_ml(&scene.live) - before - ran).abs() < 15.0, "{}", drawn_ml(&scene.live));
    assert_eq!(open_jar(&scene).0, 4);
}

#[test]
fn a_frozen_scale_is_told_and_the_take_off_counts_again() {
    let mut scene = weighed();
    let before = drawn_ml(&scene.live);
    scene.run(900, |_| hot(78.0).map(|row| row.with(Probe::Receiver, 0.62)));
    assert_eq!(scene.states("scale_frozen"), 1, "{:?}", scene.said);
    let (ml, basis) = rate(&scene);
    assert!(basis != "weighed under the jar" && (ml - RUNS_G_MIN / KG_PER_L).abs() < 4.0, "{ml}");
    let ran = 1000.0 * ran_kg(900) / KG_PER_L;
    assert!((drawn_ml(&scene.live) - before - ran).abs() < 0.2 * ran);
    assert!(scene.live.knowledge().unknown.iter().any(|unknown| unknown.what == "drawn"));
}

#[test]
fn a_scale_lost_for_ten_minutes_falls_back_to_reckoning_says_so_and_then_knows_what_ran() {
    let mut scene = weighed();
    let before = drawn_ml(&scene.live);
    scene.run(600, |_| hot(78.0));
    assert_eq!(scene.states("scale_lost"), 1);
    let known = scene.live.knowledge();
    assert!(known.unknown.iter().any(|unknown| unknown.why.contains("scale")), "{known:?}");
    assert!(rate(&scene).1 != "weighed under the jar" && drawn_ml(&scene.live) > before + 200.0);
    let on = 0.42 + ran_kg(1200);
    scene.run(300, |at| weighs(on + ran_kg(at), at));
    assert_eq!(scene.states("scale_back"), 1);
    let ran = 1000.0 * ran_kg(900) / KG_PER_L;
    assert!((drawn_ml(&scene.live) - before - ran).abs() < 10.0, "weighed over the gap");
}

#[test]
fn a_jar_measured_by_hand_rules_over_the_scale() {
    let mut scene = weighed();
    let before = drawn_ml(&scene.live) - open_jar(&scene).1;
    let end_s = scene.now as f64;
    let jar = JarRecord {
        number: 4,
        start_s: end_s - 600.0,
        end_s,
        volume_ml: 300.0,
        temperature_c: Some(20.0),
        apparent_vol: None,
        cut: Some(StepKind::Hearts),
        note: String::new(),
        gauged_with: None,
    };
    scene.live.jar(&jar);
    assert!((drawn_ml(&scene.live) - before - 300.0).abs() < 2.0);
}

#[test]
fn a_shut_valve_is_seen_though_the_plan_says_that_spirit_runs() {
    let mut scene = weighed();
    scene.act(Action::TakeOff { take_off: TakeOff::Closed, measured: false });
    let before = drawn_ml(&scene.live);
    scene.run(900, |at| weighs(0.62, at));
    assert!(drawn_ml(&scene.live) - before < 12.0);
    assert_eq!(scene.states("scale_frozen"), 0);
}

#[test]
fn a_rehearsal_with_a_scale_knows_what_was_drawn_though_no_jar_is_measured() {
    let options = LiveOptions { estimate: false, ..LiveOptions::default() };
    let mut live = Live::new(column(), options).expect("the plan is sound");
    let mut still = Rehearsal::new(&column(), 11, true).expect("it can be simulated").with_scale();
    let (mut due, mut second) = (Vec::new(), 0);
    while !still.finished() && second < 30_000 {
        let mut rows = still.second(second, &due).expect("it goes on");
        rows.jars.clear();
        due = live.rows(&rows);
        due.extend(live.tick(second));
        second += 1;
    }
    let truth = still.truth().expect("it is over").drawn;
    let end = live.end_now();
    assert!(truth.litres_20c > 1.5, "{truth:?}");
    assert!((end.litres_20c / truth.litres_20c - 1.0).abs() < 0.015, "{end:?} for {truth:?}");
}
