//! What a head that reads cold must not hide, end or settle: vapour, the coolant, the plateau.

use advise::{ChannelState, Event, Live, LiveOptions, Priority};
use rehearse::Rehearsal;
use sense::{Action, Probe, Reading};
use still::plan::StepKind;

use crate::common::{Scene, column, example_plans, hot};

/// A pot that boils, coolant that no longer runs, and a head beside its still.
fn beside_its_still(head_c: f64, digit: u64) -> Reading {
    Reading::default()
        .with(Probe::Head, head_c + 0.06 * (digit % 2) as f64)
        .with(Probe::Pot, 93.7 + 0.1 * (digit % 3) as f64)
        .with(Probe::Heater, 1800.0)
}

#[test]
fn a_head_that_stays_cold_while_the_pot_boils_is_bad_and_hides_no_lost_coolant() {
    let mut scene = Scene::foretold(column());
    let boiling = |flow: f64, out_c: f64| {
        move |second: u64| {
            let row = beside_its_still(17.0, second / 10).with(Probe::CoolantFlow, flow);
            Some(row.with(Probe::CoolantIn, 12.9).with(Probe::CoolantOut, out_c))
        }
    };
    // The pot stands at its boil; the column takes some minutes to fill with vapour.
    scene.run(1800, boiling(1.8, 14.0));
    assert!(scene.alarms("coolant_loss").is_empty(), "the coolant runs");
    assert!(!scene.alarms("data_impossible").is_empty(), "{:?}", scene.said);
    let known = scene.live.knowledge();
    let head = known.channels.iter().find(|channel| channel.name == "head_c").expect("read");
    assert_eq!((head.quality, head.value), (ChannelState::Bad, None), "{:?}", head.reason);
    let lost_at = scene.now as f64;
    scene.run(60, boiling(0.0, 14.0));
    let alarms = scene.alarms("coolant_loss");
    assert_eq!(alarms[0].priority, Priority::Critical);
    assert!(alarms[0].time_s - lost_at <= 20.0, "{alarms:?}");
}

#[test]
fn a_hot_outlet_or_vent_shows_vapour_under_a_cold_head_before_any_step_is_begun() {
    for (probe, celsius) in [(Probe::CoolantOut, 80.0), (Probe::Vent, 62.0)] {
        let mut scene = Scene::heating(column());
        scene.run(60, |second| Some(beside_its_still(17.0, second / 10).with(probe, celsius)));
        assert_eq!(scene.alarms("coolant_loss")[0].priority, Priority::Critical, "{probe:?}");
    }
}

/// Heat off, and a head that reads the room: at once, or within five minutes.
#[test]
fn a_head_that_reads_cold_just_after_the_heat_went_off_closes_no_coolant() {
    for fall_s in [1.0, 200.0] {
        let mut scene = Scene::hearts();
        scene.act(Action::Heater { watts: 0.0 });
        scene.step(StepKind::Stop);
        let head_c = |second: u64| 78.0 - 57.0 * (second as f64 / fall_s).min(1.0);
        let row = |second: u64| {
            hot(head_c(second + 10)).map(|row| row.with(Probe::Heater, 0.0).with(Probe::Pot, 95.0))
        };
        scene.run(290, row);
        assert!(scene.prompts("coolant_off").is_empty(), "{fall_s} s");
        assert!(scene.live.end().is_none(), "{fall_s} s");
    }
}

/// Whoever waits for the head to read cold is not told to watch one that came off.
#[test]
fn what_a_head_that_came_off_reads_is_no_sign_to_close_the_coolant_by() {
    for (head_c, sign) in [(78.0, "under 50 °C"), (21.0, "45 min have passed")] {
        let mut scene = Scene::hearts();
        scene.act(Action::Heater { watts: 0.0 });
        scene.step(StepKind::Stop);
        let row = |_| hot(head_c).map(|row| row.with(Probe::Heater, 0.0).with(Probe::Pot, 94.0));
        scene.run(60, row);
        let known = scene.live.knowledge();
        let told = known.instruction.expect("the coolant is to be closed some time").text;
        assert!(told.contains(sign) && known.headline.contains(sign), "{told} {}", known.headline);
    }
}

/// The course that was tried: a cut of twelve minutes early in the hearts, then six minutes at 74 °C.
#[test]
fn a_head_that_stands_low_for_minutes_after_a_power_cut_is_no_plateau() {
    let mut scene = Scene::early_hearts();
    scene.run(720, |_| None);
    scene.run(360, |_| hot(74.12));
    scene.run(194, |second| hot(74.12 + 0.02 * second as f64));
    scene.run(1300, |_| hot(78.0));
    let rise = scene.live.knowledge().rise.expect("twenty minutes of vapour have passed");
    assert!((rise.plateau_c - 78.0).abs() < 0.5, "{rise:?}");
    assert!(scene.prompts("slow_phase").is_empty(), "{:?}", scene.prompts("slow_phase"));
}

/// Sixteen minutes of boil, a cut of ten, and the boil again.
#[test]
fn the_cold_minutes_of_a_power_cut_are_no_measure_of_the_coolant() {
    let mut scene = Scene::hearts();
    let carried = |out_c: f64| {
        move |second: u64| {
            let row = hot(78.0 + 0.06 * (second / 10 % 2) as f64)?;
            Some(row.with(Probe::CoolantIn, 13.0).with(Probe::CoolantOut, out_c))
        }
    };
    scene.run(960, carried(25.0));
    scene.run(600, |_| None);
    scene.run(400, carried(15.5));
    scene.run(2400, carried(25.0));
    assert!(scene.alarms("coolant_loss").is_empty(), "{:?}", scene.alarms("coolant_loss"));
}

#[test]
fn while_the_head_is_not_read_the_cover_of_the_element_is_told_as_no_end() {
    let mut scene = Scene::hearts();
    scene.run(300, |_| hot(21.0));
    let known = scene.live.knowledge();
    assert!(known.ends.iter().all(|end| end.step_index.is_none()), "{:?}", known.ends);
    assert!(known.unknown.iter().any(|unknown| unknown.what == "end"), "{:?}", known.unknown);
}

#[test]
fn a_head_that_was_never_hot_does_not_say_that_the_still_is_cool() {
    let mut scene = Scene::foretold(column());
    let row = |watts: f64, pot_c: f64| {
        move |second: u64| {
            let row = beside_its_still(17.0, second / 10).with(Probe::Heater, watts);
            Some(row.with(Probe::Pot, pot_c + 0.1 * (second / 10 % 3) as f64))
        }
    };
    scene.run(1800, row(1800.0, 93.7));
    scene.act(Action::Heater { watts: 0.0 });
    scene.step(StepKind::Stop);
    scene.run(2600, row(0.0, 90.0));
    assert!(scene.prompts("coolant_off").is_empty() && scene.live.end().is_none());
    scene.run(300, row(0.0, 60.0));
    assert!(!scene.prompts("coolant_off").is_empty(), "45 min after the heat went off");
}

#[test]
fn a_still_that_cooled_and_is_heated_again_is_not_asked_for_coolant_at_once() {
    let mut scene = Scene::hearts();
    let row = |watts: f64, celsius: f64| {
        move |second: u64| {
            let digit = 0.06 * (second / 10 % 2) as f64;
            let row = hot(celsius + digit)?.with(Probe::Heater, watts);
            Some(row.with(Probe::CoolantFlow, 0.0).with(Probe::CoolantOut, 17.0))
        }
    };
    scene.act(Action::Heater { watts: 0.0 });
    for minute in 0..40 {
        scene.run(60, row(0.0, (78.0 - 2.0 * f64::from(minute)).max(20.0)));
    }
    let before = scene.alarms("coolant_loss").len();
    scene.act(Action::Heater { watts: 1800.0 });
    scene.run(240, row(1800.0, 20.0));
    assert_eq!(scene.alarms("coolant_loss").len(), before, "the pot is cold");
}

/// A pot thermometer that reads high says that the pot boils before it does.
#[test]
fn a_pot_thermometer_two_kelvins_high_calls_no_sound_head_bad() {
    for (name, plan) in example_plans() {
        let options = LiveOptions { estimate: false, ..LiveOptions::default() };
        let mut live = Live::new(plan.clone(), options).expect("the plan is sound");
        let mut rehearsal = Rehearsal::new(&plan, 5, true).expect("the plan is sound");
        let (mut due, mut said) = (Vec::new(), Vec::new());
        for second in 0..10_000 {
            let mut part = rehearsal.second(second, &due).expect("the still can be simulated");
            for (_, row) in &mut part.readings {
                row.set(Probe::Pot, row.get(Probe::Pot).map(|pot_c| pot_c + 2.0));
            }
            due = live.rows(&part);
            due.extend(live.tick(second));
            said.extend(due.iter().cloned());
            if said.iter().any(|event: &Event| event.code == "head_steady") {
                break;
            }
        }
        let bad: Vec<_> = said.iter().filter(|event| event.code == "data_impossible").collect();
        assert!(bad.is_empty(), "{name}: {bad:?}");
        assert!(said.iter().any(|event| event.code == "first_vapour"), "{name}");
    }
}
