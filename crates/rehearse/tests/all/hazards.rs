//! What else is alarmed: heat that goes elsewhere, a hot spout, heat after the plan; what follows from
//! what, who is called, and feeders that are slow.

use crate::common::{Scene, column, hot, with};
use advise::{EventKind, Priority};
use quantities::RunTime;
use sense::{Action, Probe, Reading};
use still::plan::StepKind;

#[test]
fn a_flow_that_fell_by_half_is_told_where_the_outlet_does_not_explain_it_and_the_heat_is_as_before()
{
    let fell = |share: f64, out_c: f64, heater_w: f64, acts: &[Action]| {
        let mut scene = Scene::hearts();
        for act in acts {
            scene.act(act.clone());
        }
        scene.run(300, |_| {
            with(|row| {
                *row = row
                    .with(Probe::CoolantFlow, 1.8 * share)
                    .with(Probe::CoolantOut, out_c)
                    .with(Probe::Heater, heater_w);
            })
        });
        scene.alarms("coolant_takes_less").first().map(|alarm| alarm.priority)
    };
    for share in [0.2, 0.3, 0.4, 0.49] {
        assert_eq!(fell(share, 24.0, 1800.0, &[]), Some(Priority::High), "{share}");
    }
    assert_eq!(fell(0.4, 13.0 + 11.0 / 0.4, 1800.0, &[]), None, "the outlet explains it");
    assert_eq!(fell(0.8, 24.0, 1800.0, &[]), None);
    let less = Action::Heater { watts: 700.0 };
    assert_eq!(fell(0.4, 24.0, 700.0, &[less]), None, "there is less heat");
    let turned = Action::Coolant { l_per_min: 0.7 };
    assert_eq!(fell(0.4, 24.0, 1800.0, &[turned]), None, "a person turned it down");
}

#[test]
fn a_hot_spout_is_critical_and_a_warm_one_is_told() {
    let spout = |spout_c: f64| {
        let mut scene = Scene::hearts();
        scene.run(120, |s| {
            with(|row| row.set(Probe::Product, Some(20.0 + (s as f64).min(spout_c - 20.0))))
        });
        let said = scene.said.iter().filter(|e| e.kind == EventKind::Alarm);
        said.map(|alarm| (alarm.code, alarm.priority)).collect::<Vec<_>>()
    };
    assert_eq!(spout(29.0), []);
    assert_eq!(spout(35.0), [("spirit_warm", Priority::High)]);
    let hot = [("spirit_warm", Priority::High), ("vapour_at_spout", Priority::Critical)];
    assert!(spout(75.0).iter().all(|said| hot.contains(said)) && spout(75.0).contains(&hot[1]));
}

#[test]
fn heat_that_is_on_after_the_plan_is_told_within_minutes() {
    let mut scene = Scene::hearts();
    scene.step(StepKind::Stop);
    let from_s = scene.now as f64;
    scene.run(400, |_| hot(78.0));
    let alarms = scene.alarms("heater_left_on");
    assert!((alarms[0].time_s - from_s - 180.0).abs() < 2.0, "{alarms:?}");
    let mut done = Scene::hearts();
    done.step(StepKind::Stop);
    done.act(Action::Heater { watts: 0.0 });
    done.run(400, |_| with(|row| row.set(Probe::Heater, Some(0.0))));
    assert!(done.alarms("heater_left_on").is_empty() && done.alarms("heater_power").is_empty());
}

#[test]
fn what_follows_from_another_alarm_stands_under_it() {
    let mut scene = Scene::hearts();
    scene.run(60, |_| with(|row| row.set(Probe::CoolantFlow, Some(0.0))));
    scene.run(60, |s| {
        with(|row| {
            row.set(Probe::CoolantFlow, Some(0.0));
            row.set(Probe::Product, Some(20.0 + s as f64));
        })
    });
    let known = scene.live.knowledge();
    let codes: Vec<&str> = known.alarms.iter().map(|alarm| alarm.code).collect();
    assert_eq!(codes, ["coolant_loss", "vapour_at_spout", "spirit_warm"]);
    let follows: Vec<_> = known.alarm_list.iter().map(|alarm| alarm.follows).collect();
    assert_eq!(follows.iter().flatten().collect::<Vec<_>>(), [&"coolant_loss", &"coolant_loss"]);
}

#[test]
fn the_second_person_is_called_while_nobody_answers_and_five_times_at_most() {
    let mut scene = Scene::hearts();
    scene.act(Action::Here);
    let here_s = scene.now as f64;
    scene.run_alone(4000, |_| hot(78.0), 0);
    let calls = scene.said.iter().filter(|event| event.code == "second_person");
    let calls: Vec<f64> = calls.map(|event| event.time_s - here_s).collect();
    assert_eq!(calls, [780.0, 1080.0, 1380.0, 1680.0, 1980.0]);
    let mut answered = Scene::hearts();
    answered.run(30, |_| with(|row| row.set(Probe::CoolantFlow, Some(0.0))));
    answered.act(Action::Seen { code: "coolant_loss".into() });
    answered.run(600, |_| with(|row| row.set(Probe::CoolantFlow, Some(0.0))));
    assert_eq!(answered.states("second_person"), 0);
}

#[test]
fn a_feeder_that_sends_each_minute_what_it_read_loses_nothing() {
    // Rows of each ten seconds, sent together once a minute.
    let mut scene = Scene::hearts();
    let mut batch = Vec::new();
    for passed in 0..3600_u64 {
        if scene.now.is_multiple_of(10) {
            batch.push((scene.now, hot(78.0).expect("a row")));
        }
        if scene.now.is_multiple_of(60) {
            for (second, row) in batch.drain(..) {
                scene.said.extend(scene.live.reading(RunTime::of_second(second), &row));
            }
        }
        if passed.is_multiple_of(300) {
            scene.act(Action::Here);
        }
        scene.said.extend(scene.live.tick(scene.now));
        scene.now += 1;
    }
    assert!(scene.alarms("data_stale").len() <= 2, "{}", scene.alarms("data_stale").len());
    // Then it stops: that is told.
    let before = scene.alarms("data_stale").len();
    scene.run(600, |_| None);
    assert!(scene.alarms("data_stale").len() > before);
}

#[test]
fn a_feeder_that_reads_in_bursts_once_a_minute_loses_nothing() {
    let mut scene = Scene::heating(column());
    for second in 0..3600_u64 {
        if second % 60 < 5 {
            let row = hot(78.0).expect("a row");
            scene.said.extend(scene.live.reading(RunTime::of_second(second), &row));
        }
        if second.is_multiple_of(300) {
            scene.act(Action::Here);
        }
        scene.said.extend(scene.live.tick(second));
    }
    assert!(scene.alarms("data_stale").len() <= 3, "{}", scene.alarms("data_stale").len());
}

#[test]
fn a_meter_that_is_read_each_minute_is_not_held_to_a_heat_recorded_since() {
    let mut scene = Scene::heating(column());
    let meter = |from: f64, then: f64| {
        move |s: u64| {
            let watts = if s == 0 { from } else { then };
            s.is_multiple_of(60).then(|| Reading::default().with(Probe::Heater, watts))
        }
    };
    scene.run(300, meter(0.0, 1800.0));
    scene.run(60, meter(1800.0, 1800.0));
    scene.act(Action::Heater { watts: 700.0 });
    scene.run(300, meter(1800.0, 700.0));
    assert!(scene.alarms("heater_power").is_empty());
    scene.run(300, meter(0.0, 0.0));
    assert_eq!(scene.alarms("heater_power").len(), 1);
}

#[test]
fn a_head_that_leaves_its_level_at_once_ends_no_step() {
    for off_k in [1.2, 12.0] {
        let mut scene = Scene::hearts();
        scene.run(900, |_| hot(78.0 + off_k));
        assert!(scene.prompts("slow_phase").is_empty(), "{off_k} K");
        assert!(scene.prompts("hearts_end_near").is_empty(), "{off_k} K");
    }
    let mut risen = Scene::hearts();
    risen.run(900, |s| hot(78.0 + (s as f64 / 200.0).min(1.2)));
    let ends = risen.prompts("slow_phase").len() + risen.prompts("hearts_end_near").len();
    assert!(ends > 0, "one that climbs there does");
}
