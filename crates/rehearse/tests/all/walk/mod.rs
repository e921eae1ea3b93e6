//! Every cause of an alarm, walked through all states of its alarm; the cases are made from the file
//! of the rules.

mod cases;

use advise::{AlarmNow, AlarmState, Event, EventKind, Live, LiveOptions, Priority};
use quantities::RunTime;
use sense::{Action, Correction, InForce, Instruments, Probe, Reading};
use still::plan::{StepKind, TakeOff};

use crate::common::{Scene, column, hot};
use cases::CASES;

/// A cause, how it is brought about and what then must be.
#[expect(clippy::struct_excessive_bools, reason = "what the file of the rules says of it")]
struct Case {
    code: &'static str,
    cause: &'static str,
    words: &'static str,
    priority: Priority,
    to_do: &'static str,
    within_s: Option<f64>,
    on_delay_s: f64,
    off_delay_s: f64,
    hush: bool,
    before_heat: bool,
    cold: bool,
    /// Whether the whole alarm is suppressed so.
    said: bool,
    because: &'static str,
    row: &'static [(&'static str, f64)],
    ramp: &'static [(&'static str, f64)],
    without: &'static [&'static str],
    calm: &'static [(&'static str, f64)],
    acts: &'static [&'static str],
    alone: bool,
    foretold: bool,
    worsens: bool,
    brief: bool,
    charge_l: Option<f64>,
    jar_ml: Option<f64>,
    overdue: Option<&'static str>,
}

/// Longest that a cause may take to raise its alarm, and to be over, s.
const RAISED_S: u64 = 3200;
const OVER_S: u64 = 1300;
/// What a channel shows where all is well.
const CALM: [(&str, f64); 6] = [
    ("product_c", 19.0),
    ("vent_c", 19.0),
    ("ambient_c", 18.0),
    ("vapour_lel", 1.0),
    ("room_co2_ppm", 600.0),
    ("pot_kpa", 0.3),
];

fn set(row: &mut Reading, column: &str, value: f64, second: u64) {
    let probe = Probe::of_column(column).expect("a column");
    // What is read moves by a digit, as noise does.
    row.set(probe, Some(value + 0.0625 * (second / 10 % 2) as f64));
}

impl Case {
    fn name(&self) -> String {
        format!("{}.{}", self.code, self.cause)
    }

    /// A row while all is well.
    fn well(&self, second: u64) -> Option<Reading> {
        let mut row = hot(78.0)?;
        for (column, value) in CALM.iter().chain(self.calm) {
            set(&mut row, column, *value, second);
        }
        Some(row)
    }

    /// A row while the cause is there, so long already, s.
    fn ill(&self, second: u64) -> Option<Reading> {
        let mut row = self.well(second)?;
        for (column, value) in self.row {
            set(&mut row, column, *value, second);
        }
        for (column, per_s) in self.ramp {
            let probe = Probe::of_column(column).expect("a column");
            let value = row.get(probe).expect("it is read") + per_s * second as f64;
            row.set(probe, Some(value));
        }
        for column in self.without {
            row.set(Probe::of_column(column).expect("a column"), None);
        }
        Some(row)
    }

    /// Hearts, all being well.
    fn scene(&self) -> Scene {
        let mut plan = column();
        if let Some(litres) = self.charge_l {
            (plan.charge.litres, plan.charge.litres_sd) = (litres, Some(0.02));
        }
        let options = LiveOptions {
            forecast: self.foretold,
            estimate: false,
            jar_ml: self.jar_ml,
            instruments: self.instruments(),
            ..LiveOptions::default()
        };
        let scene = Scene::with(plan, options);
        let mut scene = scene.in_hearts(|second| self.well(second));
        scene.act(Action::Here);
        scene
    }

    fn instruments(&self) -> Instruments {
        let mut all = Instruments::default();
        let overdue = |column| InForce {
            name: "long probe".into(),
            probe: Probe::of_column(column).expect("a column"),
            correction: Correction::default(),
            overdue: true,
        };
        all.put(0.0, self.overdue.into_iter().map(overdue).collect());
        all
    }

    fn begin(&self, scene: &mut Scene) {
        for act in self.acts {
            let action = match act.split_once(' ') {
                Some(("takeoff", rate)) => {
                    let rate = rate.parse().expect("a number");
                    Action::TakeOff { take_off: TakeOff::MlPerMin(rate), measured: false }
                }
                Some(("step", "stop")) => Action::Step { kind: StepKind::Stop },
                Some(("step", "equalise")) => Action::Step { kind: StepKind::Equalise },
                other => panic!("no act of a case: {other:?}"),
            };
            scene.act(action);
        }
    }

    fn run_ill(&self, scene: &mut Scene, passed: u64, seconds: u64) {
        let here = if self.alone { 0 } else { 300 };
        scene.run_alone(seconds, |second| self.ill(passed + second), here);
    }

    fn now(&self, scene: &Scene) -> Option<AlarmNow> {
        let mut all = scene.live.alarms_now().into_iter().map(|(alarm, _)| alarm);
        all.find(|alarm| alarm.code == self.code)
    }

    fn state(&self, scene: &Scene) -> Option<AlarmState> {
        self.now(scene).map(|alarm| alarm.state)
    }

    /// How often it was said as urgent as this.
    fn said(&self, scene: &Scene) -> usize {
        scene.alarms(self.code).iter().filter(|event| event.priority == self.priority).count()
    }

    fn act(&self, scene: &mut Scene, what: &str) {
        let code = self.code.to_owned();
        scene.act(match what {
            "seen" => Action::Seen { code },
            "reset" => Action::Reset { code },
            _ => Action::Quiet { code, minutes: 10.0, reason: "it is looked at".into() },
        });
    }
}

/// From normal to active: after its delay, with what the rule says. Gives how long it took.
fn raised(case: &Case, scene: &mut Scene) -> u64 {
    let name = case.name();
    assert_eq!(case.state(scene), None, "{name}: normal");
    case.begin(scene);
    let mut passed = 0;
    while case.now(scene).is_none_or(|alarm| alarm.priority != case.priority) {
        assert!(passed < RAISED_S, "{name}: not raised, but {:?}", scene.live.knowledge().alarms);
        case.run_ill(scene, passed, 1);
        passed += 1;
    }
    assert!(passed as f64 >= case.on_delay_s, "{name}: after {passed} s");
    assert_eq!(case.state(scene), Some(AlarmState::ActiveUnseen), "{name}");
    let said: Vec<Event> = scene.alarms(case.code).into_iter().cloned().collect();
    let said = said.last().expect("it was said");
    assert_eq!((said.kind, said.priority), (EventKind::Alarm, case.priority), "{name}");
    assert_eq!((said.to_do.as_str(), said.within_s), (case.to_do, case.within_s), "{name}");
    assert!(!said.text.is_empty() && !said.how_sure.is_empty(), "{name}: {said:?}");
    let known = scene.live.knowledge();
    assert!(known.alarms.iter().any(|alarm| alarm.code == case.code), "{name}: shown");
    assert!(!known.suppressed.iter().any(|other| other.code == case.code), "{name}");
    passed
}

/// Seen and refused to be reset: silent, and still there.
fn seen(case: &Case, scene: &mut Scene, passed: u64) {
    let name = case.name();
    let said = case.said(scene);
    case.act(scene, "seen");
    assert_eq!(case.state(scene), Some(AlarmState::ActiveSeen), "{name}");
    case.run_ill(scene, passed, 20);
    assert_eq!(case.said(scene), said, "{name}: said once");
    let refused = scene.states("reset_refused");
    case.act(scene, "reset");
    assert_eq!(scene.states("reset_refused"), refused + 1, "{name}");
    assert_eq!(case.state(scene), Some(AlarmState::ActiveSeen), "{name}");
}

/// Quiet: refused, or kept until its time is over, and then raised again.
fn quiet(case: &Case, scene: &mut Scene, passed: u64) {
    let name = case.name();
    let refused = scene.states("quiet_refused");
    case.act(scene, "quiet");
    if case.priority == Priority::Critical || !case.hush {
        assert_eq!(scene.states("quiet_refused"), refused + 1, "{name}");
        return;
    }
    assert_eq!(case.state(scene), Some(AlarmState::Quiet), "{name}");
    assert_eq!(scene.live.knowledge().quiet.len(), 1, "{name}");
    let said = case.said(scene);
    if case.worsens {
        case.run_ill(scene, passed, 200);
        let now = case.now(scene).expect("it stands");
        assert_eq!(now.priority, Priority::Critical, "{name}: a critical one is never quiet");
        assert_eq!(now.state, AlarmState::ActiveUnseen, "{name}");
        return;
    }
    if case.brief {
        case.run_ill(scene, passed, 615);
        assert_eq!(case.state(scene), None, "{name}: over while quiet");
        return;
    }
    case.run_ill(scene, passed, 590);
    assert_eq!(case.said(scene), said, "{name}: quiet");
    case.run_ill(scene, passed + 590, 15);
    assert_eq!(scene.states("quiet_over"), 1, "{name}");
    assert_eq!(case.said(scene), said + 1, "{name}: raised again");
    assert_eq!(case.state(scene), Some(AlarmState::ActiveUnseen), "{name}");
}

/// The cause goes: cleared after its delay, a critical one until it is reset.
fn over(case: &Case, scene: &mut Scene) {
    let name = case.name();
    let Some(now) = case.now(scene) else { return assert!(case.brief, "{name}: gone") };
    let critical = now.priority == Priority::Critical;
    let was_seen = case.state(scene) == Some(AlarmState::ActiveSeen);
    if !case.acts.is_empty() {
        scene.act(Action::Heater { watts: 0.0 });
    }
    scene.act(Action::Here);
    let active = [Some(AlarmState::ActiveUnseen), Some(AlarmState::ActiveSeen)];
    let mut passed = 0;
    while active.contains(&case.state(scene)) {
        assert!(passed < OVER_S, "{name}: not over, but {:?}", scene.live.knowledge().alarms);
        let off = !case.acts.is_empty();
        scene.run(1, |_| {
            let mut row = case.well(passed)?;
            if off {
                row.set(Probe::Heater, Some(0.0));
            }
            Some(row)
        });
        passed += 1;
    }
    assert!(passed as f64 + 1.0 >= case.off_delay_s, "{name}: after {passed} s");
    if critical {
        assert_eq!(scene.states("alarm_cause_gone"), 1, "{name}: stands until it is reset");
        case.act(scene, "reset");
    } else if was_seen {
        assert_eq!(case.state(scene), None, "{name}");
    } else {
        assert_eq!(case.state(scene), Some(AlarmState::ClearedUnseen), "{name}");
        let known = scene.live.knowledge();
        assert!(known.alarms.iter().all(|alarm| alarm.code != case.code), "{name}: silent");
        case.act(scene, "seen");
    }
    assert_eq!(case.state(scene), None, "{name}: normal");
}

/// A phase that does not have it: not raised, and said to be suppressed.
fn suppressed(case: &Case, scene: &mut Scene, heat: bool) {
    let name = case.name();
    scene.run_alone(
        150,
        |second| {
            let mut row = case.ill(second)?;
            if !heat {
                row.set(Probe::Heater, None);
            }
            Some(row)
        },
        300,
    );
    let known = scene.live.knowledge();
    let here = known.suppressed.iter().find(|other| other.code == case.code);
    assert!(case.now(scene).is_none(), "{name}: raised, though suppressed");
    match here {
        Some(here) => assert_eq!((here.words, here.because), (case.words, case.because), "{name}"),
        None => assert!(!case.said, "{name}: not said to be suppressed"),
    }
}

#[test]
fn every_cause_is_walked_through_all_states() {
    let usual = |case: &Case| {
        let stated = case.charge_l.is_some() || case.jar_ml.is_some() || case.overdue.is_some();
        case.calm.is_empty() && !case.foretold && !stated
    };
    let hearts = CASES.iter().find(|case| usual(case)).expect("most are").scene();
    for case in &CASES {
        let mut scene = if usual(case) { hearts.clone() } else { case.scene() };
        let passed = raised(case, &mut scene);
        seen(case, &mut scene, passed);
        quiet(case, &mut scene, passed + 20);
        over(case, &mut scene);
    }
}

#[test]
fn what_a_phase_does_not_have_is_suppressed_and_that_is_said() {
    let options = LiveOptions { forecast: false, ..LiveOptions::default() };
    let fresh = Live::new(column(), options).expect("the plan is sound");
    let before = Scene { live: fresh, now: 0, said: Vec::new() };
    let mut cold = Scene::hearts();
    cold.act(Action::Heater { watts: 0.0 });
    cold.run(2000, |second| {
        let mut row = hot(20.0)?;
        row.set(Probe::Heater, Some(0.0625 * (second % 2) as f64));
        Some(row)
    });
    for alarm in cold.live.knowledge().alarm_list {
        // What falls so fast is taken to have come off: that is over.
        cold.act(Action::Seen { code: alarm.code.into() });
    }
    for case in CASES.iter().filter(|case| case.acts.is_empty() && !case.alone) {
        if case.before_heat {
            suppressed(case, &mut before.clone(), false);
        }
        if case.cold {
            let mut cold = cold.clone();
            let acted = cold.live.action(RunTime::of_second(cold.now), &Action::Here);
            assert!(acted.is_empty());
            suppressed(case, &mut cold, false);
        }
    }
}
