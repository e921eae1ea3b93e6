//! What the tests of this crate share: a plan, a run with every kind of row, an event.

use sense::RecordedRun;
use sense::{Action, JarRecord, Probe, Reading};
use still::outcome::EndedBy;
use still::plan::{Charge, OwnStill, RunPlan, Site, Step, StepKind, StillKind, TakeOff};
use store::{NewRun, RunMode, StoredEnd, StoredEvent, StoredKind, StoredPriority};

/// A moment in 2026, milliseconds of UTC.
pub(crate) const NOW_MS: i64 = 1_790_000_000_000;

/// A sound column plan.
pub(crate) fn plan() -> RunPlan {
    let own = OwnStill {
        kind: StillKind::Column,
        boiler_litres: 25.0,
        elements_watts: vec![500.0, 1700.0],
    };
    let charge = Charge {
        kind: None,
        litres: 20.0,
        strength_vol: 12.0,
        temperature_c: 18.0,
        litres_sd: Some(0.3),
        strength_sd: None,
        congeners_mg_per_l: Some([("methanol".to_owned(), 12.5)].into()),
        feints: None,
    };
    let hearts = Step {
        takeoff_ml_per_min: Some(20.0),
        until_rise_k: Some(0.4),
        ..Step::new(StepKind::Hearts)
    };
    RunPlan {
        format: 1,
        title: "Test \"run\", no. 1".into(),
        start: "2026-10-03T08:12:00+02:00".into(),
        still: own.complete("Test still").0,
        charge,
        site: Site {
            pressure_hpa: 1006.0,
            ambient_c: 17.0,
            coolant_in_c: 14.0,
            coolant_l_per_min: 1.6,
        },
        steps: vec![Step::new(StepKind::Heat), hearts, Step::new(StepKind::Stop)],
    }
}

/// A real run of that plan.
pub(crate) fn new_run() -> NewRun {
    NewRun::new(plan(), RunMode::Real, false)
}

/// One action of every kind.
pub(crate) fn actions() -> Vec<Action> {
    let code = || "data_stale".to_owned();
    vec![
        Action::Heater { watts: 2200.0 },
        Action::TakeOff { take_off: TakeOff::Closed, measured: false },
        Action::TakeOff { take_off: TakeOff::MlPerMin(23.7), measured: true },
        Action::TakeOff { take_off: TakeOff::RefluxRatio(0.0), measured: false },
        Action::Coolant { l_per_min: 1.55 },
        Action::Jar { number: 3 },
        Action::Step { kind: StepKind::Equalise },
        Action::Gauge { apparent_vol: 91.2, celsius: 23.4 },
        Action::Here,
        Action::Seen { code: code() },
        Action::Reset { code: code() },
        Action::Quiet {
            code: code(),
            minutes: 15.0,
            reason: "probe: being dried, \"soon\"".into(),
        },
        Action::Note { text: "two lines,\nand a \"quote\"; é".into() },
    ]
}

/// A run with every kind of row.
pub(crate) fn rows() -> RecordedRun {
    let reading = |head_c: f64| Reading::default().with(Probe::Head, head_c);
    RecordedRun {
        readings: (0..40)
            .map(|n| (f64::from(n) * 10.0, reading(17.0 + f64::from(n) / 3.0)))
            .collect(),
        actions: (0..).map(f64::from).zip(actions()).collect(),
        jars: vec![jar(1), jar(2)],
    }
}

/// A jar of that number.
pub(crate) fn jar(number: u32) -> JarRecord {
    JarRecord {
        number,
        start_s: f64::from(number) * 10.0,
        end_s: f64::from(number) * 10.0 + 5.25,
        volume_ml: 250.0,
        temperature_c: Some(21.5),
        apparent_vol: Some(93.1),
        cut: Some(StepKind::Hearts),
        note: "smells of pears".into(),
        gauged_with: None,
    }
}

/// Something the engine said.
pub(crate) fn event() -> StoredEvent {
    StoredEvent {
        time_s: 1800.125,
        kind: StoredKind::Prompt,
        code: "coolant_on".into(),
        priority: StoredPriority::High,
        text: "Open the coolant.".into(),
        how_sure: "From the forecast.".into(),
        to_do: "Open the tap.".into(),
        within_s: None,
    }
}

/// An end.
pub(crate) fn end() -> StoredEnd {
    StoredEnd { time_s: 9000.0, ended_by: EndedBy::Plan, litres_20c: 1.6, pure_alcohol_l: 1.45 }
}
