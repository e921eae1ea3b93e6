//! What a heater meter that shows none must not hide or end while heat goes on as it was recorded.

use advise::{ChannelState, Priority, State};
use sense::{Action, Probe, Reading};
use still::plan::StepKind;

use crate::common::{Scene, hot};

/// A still in its hearts whose power meter shows none.
fn unmetered(second: u64) -> Option<Reading> {
    hot(78.0 + 0.06 * (second / 10 % 2) as f64).map(|row| row.with(Probe::Heater, 0.0))
}

#[test]
fn a_heater_meter_that_came_off_hides_no_lost_coolant() {
    let mut scene = Scene::hearts();
    scene.run(700, unmetered);
    let known = scene.live.knowledge();
    assert_eq!(known.state, State::Hearts, "the still boils as before");
    assert_eq!(known.heater_w, Some(1800.0), "as recorded");
    let meter = known.channels.iter().find(|channel| channel.name == "heater_w").expect("read");
    assert_eq!((meter.quality, meter.value), (ChannelState::Bad, None), "{:?}", meter.reason);
    assert!(scene.alarms("data_impossible")[0].text.contains("heater"), "{:?}", scene.said);
    assert!(scene.alarms("coolant_loss").is_empty(), "the coolant runs");
    let lost_at = scene.now as f64;
    let lost = |second| {
        let row = unmetered(second)?.with(Probe::CoolantFlow, 0.0);
        Some(row.with(Probe::CoolantOut, 80.0))
    };
    scene.run(900, lost);
    let alarms = scene.alarms("coolant_loss");
    assert_eq!(alarms[0].priority, Priority::Critical);
    assert!(alarms[0].time_s - lost_at <= 20.0, "{alarms:?}");
    assert_eq!(scene.states("alarm_cause_gone"), 0, "it is lost all the time");
}

#[test]
fn a_heater_meter_that_came_off_hides_no_vapour_at_the_vent_and_no_absence() {
    let mut scene = Scene::hearts();
    scene.run_alone(800, unmetered, 0);
    assert!(!scene.alarms("attendant_absent").is_empty(), "nobody is at the heated still");
    scene.run(30, |second| unmetered(second).map(|row| row.with(Probe::Vent, 62.0)));
    assert_eq!(scene.alarms("coolant_loss")[0].priority, Priority::Critical);
}

/// Heat that is really off shows in the thermometers.
#[test]
fn a_meter_that_shows_none_is_believed_where_the_still_cools_or_the_heat_is_recorded_off() {
    let mut scene = Scene::hearts();
    let cools = |second: u64| {
        let passed_s = second as f64;
        let row = unmetered(second)?.with(Probe::Head, (78.0 - passed_s / 5.0).max(25.0));
        let row = row.with(Probe::Pot, 94.0 - passed_s / 400.0);
        Some(row.with(Probe::CoolantOut, (24.0 - passed_s / 20.0).max(13.1)))
    };
    scene.run(900, cools);
    assert_eq!(scene.live.knowledge().state, State::Interrupted);
    assert!(scene.alarms("data_impossible").is_empty(), "{:?}", scene.said);
    let mut scene = Scene::hearts();
    scene.act(Action::Heater { watts: 0.0 });
    scene.step(StepKind::Stop);
    scene.run(900, unmetered);
    assert_eq!(scene.live.knowledge().heater_w, Some(0.0));
    assert!(scene.alarms("data_impossible").is_empty(), "{:?}", scene.said);
}
