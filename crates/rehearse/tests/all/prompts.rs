//! Prompts and the engine's own moves, in small scenes without a forecast.

use crate::common::{Scene, column, hot, pot};
use advise::{Live, LiveOptions, State};
use quantities::RunTime;
use sense::{Action, Probe, Reading};
use still::plan::{StepKind, TakeOff};

#[test]
fn without_a_forecast_coolant_is_asked_for_at_heater_on_and_once_more() {
    let live =
        Live::new(column(), LiveOptions { forecast: false, ..LiveOptions::default() }).unwrap();
    let mut scene = Scene { live, now: 0, said: Vec::new() };
    assert_eq!(scene.live.knowledge().state, State::BeforeHeat);
    scene.act(Action::Heater { watts: 3500.0 });
    scene.run(200, |_| None);
    let times: Vec<f64> = scene.prompts("coolant_on").iter().map(|p| p.time_s).collect();
    assert_eq!(times, [0.0, 60.0], "once, and once more after a minute");
    scene.act(Action::Coolant { l_per_min: 1.5 });
    scene.run(10, |_| None);
    assert!(scene.live.knowledge().prompts.is_empty());
}

#[test]
fn a_prompt_that_was_done_is_not_repeated() {
    let live =
        Live::new(column(), LiveOptions { forecast: false, ..LiveOptions::default() }).unwrap();
    let mut scene = Scene { live, now: 0, said: Vec::new() };
    scene.act(Action::Heater { watts: 3500.0 });
    scene.run(30, |_| None);
    scene.act(Action::Coolant { l_per_min: 1.5 });
    scene.run(200, |_| None);
    assert_eq!(scene.prompts("coolant_on").len(), 1);
}

#[test]
fn a_steady_head_is_told_from_a_planned_time() {
    let mut steady = Scene::heating(column());
    steady.run(300, |_| hot(78.0));
    steady.step(StepKind::Equalise);
    steady.run(900, |_| hot(78.0));
    assert!(steady.prompts("head_steady")[0].text.contains("steady"));
    let mut drifting = Scene::heating(column());
    drifting.run(300, |_| hot(78.0));
    drifting.step(StepKind::Equalise);
    drifting.run(1300, |s| hot(78.0 - 0.3 * s as f64 / 600.0));
    let prompt = drifting.prompts("head_steady")[0];
    assert!(prompt.text.contains("planned") && prompt.time_s >= 1500.0, "{prompt:?}");
    assert!(prompt.how_sure.contains("slope"));
}

#[test]
fn weather_alone_does_not_hide_a_steady_head() {
    // A front: 6 hPa in 10 min move the head by 0.15 K; corrected, it stands still.
    let mut scene = Scene::heating(column());
    scene.run(300, |_| hot(78.0));
    scene.step(StepKind::Equalise);
    scene.run(1000, |s| {
        let hpa = 1004.0 - 6.0 * s as f64 / 600.0;
        hot(78.0 - 0.0255 * (1004.0 - hpa)).map(|row| row.with(Probe::Pressure, hpa))
    });
    assert!(scene.prompts("head_steady")[0].text.contains("steady"));
}

#[test]
fn cuts_by_volume_come_when_the_volume_is_reckoned() {
    let mut scene = Scene::heating(column());
    scene.run(300, |_| hot(78.0));
    scene.step(StepKind::Equalise);
    scene.run(300, |_| hot(78.0));
    let begun = scene.now as f64;
    scene.step(StepKind::Foreshots);
    scene.act(Action::TakeOff { take_off: TakeOff::MlPerMin(5.0), measured: false });
    scene.run(600, |_| hot(78.0));
    // 40 mL at 5 mL/min: 480 s.
    assert!((scene.prompts("foreshots_done")[0].time_s - begun - 480.0).abs() <= 2.0);
    let known = scene.live.knowledge();
    assert_eq!(known.step.kind, StepKind::Foreshots, "the engine does not move a drawing step");
    assert!((known.drawn.unwrap().litres.at.p50 - 0.050).abs() < 0.001);
}

#[test]
fn the_end_of_hearts_is_said_before_the_head_has_risen_by_one_kelvin() {
    let mut scene = Scene::hearts();
    // The knee of the model's own description: +0.3 K, then +1 K in 10 min and +12 K in 20.
    let knee = |s: f64| 0.05 * (s / 240.0).exp();
    let begun = scene.now as f64;
    scene.run(900, |s| hot(78.0 + knee(s as f64) - 0.05));
    let prompt = scene.prompts("hearts_end_near")[0];
    let rise = knee(prompt.time_s - begun) - 0.05;
    assert!(rise < 0.5, "said at +{rise:.2} K");
}

#[test]
fn a_column_that_is_hot_and_steady_is_taken_to_equalise_and_it_is_said() {
    let mut scene = Scene::heating(column());
    scene.run(2400, |_| hot(78.0));
    assert_eq!(scene.states("taken_as_equalising"), 1);
    assert_eq!(scene.live.knowledge().state, State::Equalising);
    let mut pot = Scene::heating(pot());
    pot.run(2400, |_| hot(85.0));
    assert_eq!(
        pot.live.knowledge().state,
        State::Heating,
        "a pot's first step draws: the person begins it"
    );
}

#[test]
fn a_take_off_left_open_without_a_step_is_taken_for_the_next_drawing_step() {
    let mut scene = Scene::heating(column());
    scene.run(300, |_| hot(78.0));
    scene.step(StepKind::Equalise);
    scene.act(Action::TakeOff { take_off: TakeOff::MlPerMin(5.0), measured: false });
    scene.run(115, |_| hot(78.0));
    assert_eq!(scene.states("taken_as_drawing"), 0);
    scene.run(20, |_| hot(78.0));
    assert_eq!(
        (scene.states("taken_as_drawing"), scene.live.knowledge().state),
        (1, State::Foreshots)
    );
}

#[test]
fn strength_on_the_plateau_never_claims_more_than_half_a_per_cent() {
    let mut scene = Scene::hearts();
    scene.act(Action::Gauge { apparent_vol: 95.0, celsius: 20.0 });
    scene.run(300, |_| hot(78.0));
    let known = scene.live.knowledge();
    let strength = known.strength_now.unwrap();
    assert!(
        strength.at.p975 - strength.at.p025 >= 0.999 && strength.basis.contains("cannot"),
        "{strength:?}"
    );
    assert!((strength.at.p50 - 95.0).abs() < 1.0);
    assert!(known.unknown.iter().any(|item| item.what == "head"));
}

#[test]
fn the_heat_off_in_mid_run_is_an_interruption_and_not_a_stop() {
    let mut scene = Scene::hearts();
    scene.act(Action::Heater { watts: 0.0 });
    let off = |row: Option<Reading>| row.map(|row| row.with(Probe::Heater, 0.0));
    scene.run(600, |_| off(hot(70.0)));
    let known = scene.live.knowledge();
    assert_eq!(known.state, State::Interrupted);
    assert!(known.takeoff_ml_per_min.unwrap().at.p50 < 0.01, "no heat, no spirit");
}

#[test]
fn every_word_of_the_engine_keeps_the_house_rules() {
    let mut scene = Scene::hearts();
    scene.run(900, |s| hot(78.0 + 2.0 * s as f64 / 600.0));
    scene.run_alone(900, |_| None, 0);
    for event in &scene.said {
        for words in [&event.text, &event.how_sure, &event.to_do] {
            assert!(!words.to_lowercase().contains("safe"), "{words}");
            assert!(!words.contains("you can leave"), "{words}");
        }
    }
}

#[test]
fn a_rate_that_was_timed_before_the_valve_was_turned_does_not_stand_for_the_new_one() {
    let mut scene = Scene::hearts();
    let timed = |ml: f64| Action::TakeOff { take_off: TakeOff::MlPerMin(ml), measured: true };
    let set = |ml: f64| Action::TakeOff { take_off: TakeOff::MlPerMin(ml), measured: false };
    scene.act(set(60.0));
    scene.run(300, |_| hot(78.0));
    scene.act(set(30.0));
    scene.run(15, |_| hot(78.0));
    let said = scene.live.action(RunTime::of_second(scene.now), &timed(58.0));
    assert_eq!(said.iter().map(|event| event.code).collect::<Vec<_>>(), ["timed_before_the_turn"]);
    let rate = |scene: &Scene| scene.live.knowledge().takeoff_ml_per_min.expect("it runs").at.p50;
    assert!((rate(&scene) - 30.0).abs() < 0.1, "{}", rate(&scene));
    scene.run(120, |_| hot(78.0));
    assert!(
        scene.live.action(RunTime::of_second(scene.now), &timed(58.0)).is_empty(),
        "there was time"
    );
    scene.run(1, |_| hot(78.0));
    assert!((rate(&scene) - 58.0).abs() < 0.1, "{}", rate(&scene));
}

#[test]
fn a_column_that_still_fills_shows_no_spirit_and_panel_and_strip_count_the_same_jars() {
    let mut scene = Scene::foretold(column());
    scene.run(300, |_| hot(60.0));
    assert!(scene.live.knowledge().strength_now.is_none(), "nothing runs while it heats");
    scene.step(StepKind::Equalise);
    scene.run(30, |_| hot(60.0));
    assert!(scene.live.knowledge().strength_now.is_none(), "the head is not hot through yet");
    scene.run(600, |_| hot(78.0));
    let known = scene.live.knowledge();
    assert!(known.strength_now.is_some());
    let ahead = |jar: &&advise::Jar| jar.status == "expected" && jar.cut == StepKind::Hearts;
    let shown = known.jars.iter().filter(ahead).count() as f64;
    assert_eq!(known.jars_to_come.map(|jars| jars.p50), Some(shown), "{:?}", known.jars);
    // A cut ends with its step, and the next jar begins where the one before it ends.
    scene.step(StepKind::Foreshots);
    scene.live.action(RunTime::of_second(scene.now), &sense::Action::Jar { number: 1 });
    scene.run(60, |_| hot(78.0));
    let jars = scene.live.knowledge().jars.clone();
    assert_eq!(jars[0].status, "open");
    let ends_first =
        |two: &[advise::Jar]| two[0].end_s.is_some_and(|end_s| end_s <= two[1].start_s);
    assert!(jars.len() > 3 && jars.windows(2).all(ends_first), "{jars:?}");
}

#[test]
fn a_jar_of_clean_hearts_stays_clean_as_the_head_rises_and_when_it_is_full() {
    let mut scene = Scene::hearts();
    scene.act(Action::Jar { number: 1 });
    scene.run(1500, |_| hot(78.0));
    scene.run(120, |_| hot(78.5));
    let words = |scene: &Scene| -> Vec<_> {
        let jars = &scene.live.knowledge().jars;
        jars.iter().take(2).map(|jar| (jar.status, jar.cleanliness)).collect()
    };
    assert!(scene.live.knowledge().rise.is_some_and(|rise| rise.kelvin > 0.3));
    assert_eq!(words(&scene)[0], ("open", "clean"));
    scene.act(Action::Jar { number: 2 });
    scene.run(1, |_| hot(78.5));
    assert_eq!(words(&scene), [("filled", "clean"), ("open", "faint_late")]);
}
