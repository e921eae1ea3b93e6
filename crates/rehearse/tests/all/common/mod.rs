//! A plan of our own and a scene that feeds the engine second by second.

use advise::{Event, EventKind, Live, LiveOptions};
use quantities::RunTime;
use sense::{Action, Probe, Reading};
use still::plan::{Charge, ChargeKind, RunPlan, Site, Step, StepKind, Still, StillKind, TakeOff};

/// A step that draws so many mL at so many mL/min.
fn drawing(kind: StepKind, ml_per_min: f64, ml: f64) -> Step {
    Step { takeoff_ml_per_min: Some(ml_per_min), until_ml: Some(ml), ..Step::new(kind) }
}

/// A small column with a charge that is through within two and a half hours.
pub(crate) fn column() -> RunPlan {
    let step = |kind| Step::new(kind);
    RunPlan {
        format: 1,
        title: "Test run".into(),
        start: "2026-10-03T08:12:00+02:00".into(),
        still: Still {
            name: "Bench column".into(),
            kind: StillKind::Column,
            boiler_litres: 25.0,
            heat_source: still::plan::HeatSource::Electric,
            elements_watts: vec![2000.0, 1500.0],
            element_cover_litres: 4.0,
            stages: 10.0,
            efficiency: None,
            reflux_c: None,
            vapour_lost: None,
            column_probe_fraction: None,
            head_place: still::plan::HeadPlace::Above,
            holdup_litres: 0.25,
            drum_fraction: 0.2,
            boiler_loss_w_per_k: 1.6,
            column_loss_w_per_k: 0.4,
            metal_kj_per_k: 3.0,
            column_metal_kj_per_k: 1.0,
            pressure_drop_pa_per_stage: 20.0,
            max_takeoff_ml_per_min: 60.0,
        },
        charge: Charge {
            kind: Some(ChargeKind::FruitWash),
            litres: 16.0,
            strength_vol: 11.0,
            temperature_c: 18.0,
            litres_sd: Some(0.2),
            strength_sd: Some(0.2),
            congeners_mg_per_l: None,
            feints: None,
        },
        site: Site {
            pressure_hpa: 1004.0,
            ambient_c: 17.0,
            coolant_in_c: 13.0,
            coolant_l_per_min: 1.8,
        },
        steps: vec![
            Step { watts: Some(3500.0), ..step(StepKind::Heat) },
            Step { watts: Some(1800.0), minutes: Some(20.0), ..step(StepKind::Equalise) },
            drawing(StepKind::Foreshots, 5.0, 40.0),
            drawing(StepKind::Heads, 12.0, 150.0),
            Step {
                takeoff_ml_per_min: Some(22.0),
                until_rise_k: Some(0.4),
                ..step(StepKind::Hearts)
            },
            Step {
                takeoff_ml_per_min: Some(13.0),
                until_rise_k: Some(0.6),
                minutes: Some(30.0),
                ..step(StepKind::Hearts)
            },
            Step {
                reflux_ratio: Some(1.5),
                until_strength_vol: Some(40.0),
                ..step(StepKind::Tails)
            },
            step(StepKind::Stop),
        ],
    }
}

/// The same column of the fewest stages that are simulated as a column's are, for what does not hang
/// on their number: two thirds of the time.
pub(crate) fn short_column() -> RunPlan {
    let mut plan = column();
    plan.still.stages = 7.0;
    plan
}

/// A pot head with low wines.
pub(crate) fn pot() -> RunPlan {
    let mut plan = column();
    plan.still.kind = StillKind::Pot;
    plan.still.stages = 1.0;
    plan.still.holdup_litres = 0.1;
    plan.charge.kind = Some(ChargeKind::LowWines);
    plan.charge.strength_vol = 28.0;
    plan.steps = vec![
        Step { watts: Some(3500.0), ..Step::new(StepKind::Heat) },
        Step { watts: Some(1800.0), until_ml: Some(60.0), ..Step::new(StepKind::Foreshots) },
        Step { until_ml: Some(250.0), ..Step::new(StepKind::Heads) },
        Step { until_strength_vol: Some(62.0), ..Step::new(StepKind::Hearts) },
        Step { until_strength_vol: Some(25.0), ..Step::new(StepKind::Tails) },
        Step::new(StepKind::Stop),
    ];
    plan
}

/// The plans of the example house, by name.
pub(crate) fn example_plans() -> [(&'static str, RunPlan); 3] {
    let plan = |text| toml::from_str(text).expect("the example plans are sound");
    [
        ("perry", plan(include_str!("../../../../../examples/hollowbank/perry/run.toml"))),
        ("grain", plan(include_str!("../../../../../examples/hollowbank/grain/run.toml"))),
        ("low-wines", plan(include_str!("../../../../../examples/hollowbank/low-wines/run.toml"))),
    ]
}

/// An engine without a forecast, fed second by second.
#[derive(Clone)]
pub(crate) struct Scene {
    pub(crate) live: Live,
    pub(crate) now: u64,
    pub(crate) said: Vec<Event>,
}

impl Scene {
    /// Heating, coolant running.
    pub(crate) fn heating(plan: RunPlan) -> Self {
        Self::with(plan, LiveOptions { forecast: false, ..LiveOptions::default() })
    }

    /// The same with a forecast of the plan.
    pub(crate) fn foretold(plan: RunPlan) -> Self {
        Self::with(plan, LiveOptions { estimate: false, ..LiveOptions::default() })
    }

    /// The same, an engine that works so.
    pub(crate) fn with(plan: RunPlan, options: LiveOptions) -> Self {
        let live = Live::new(plan, options).expect("the plan is sound");
        let mut scene = Self { live, now: 0, said: Vec::new() };
        scene.act(Action::Heater { watts: 1800.0 });
        scene.act(Action::Step { kind: StepKind::Heat });
        scene.act(Action::Coolant { l_per_min: 1.8 });
        scene
    }

    /// Hearts on a steady plateau since 2000 s, the plateau known.
    pub(crate) fn hearts() -> Self {
        Self::heating(column()).in_hearts(|_| hot(78.0))
    }

    /// That far, with rows of its own.
    pub(crate) fn in_hearts(mut self, row: impl Fn(u64) -> Option<Reading>) -> Self {
        self.run(600, &row);
        self.step(StepKind::Equalise);
        self.run(600, &row);
        for kind in [StepKind::Foreshots, StepKind::Heads, StepKind::Hearts] {
            self.step(kind);
            self.act(Action::TakeOff { take_off: TakeOff::MlPerMin(15.0), measured: false });
        }
        self.run(1300, &row);
        self
    }

    /// Four minutes into the hearts: no plateau is known yet.
    pub(crate) fn early_hearts() -> Self {
        let mut scene = Self::heating(column());
        for (kind, seconds) in [
            (StepKind::Equalise, 600),
            (StepKind::Foreshots, 60),
            (StepKind::Heads, 60),
            (StepKind::Hearts, 250),
        ] {
            scene.step(kind);
            scene.act(Action::TakeOff { take_off: TakeOff::MlPerMin(15.0), measured: false });
            scene.run(seconds, |_| hot(78.1));
        }
        scene
    }

    #[expect(clippy::needless_pass_by_value, reason = "reads better in a scene")]
    pub(crate) fn act(&mut self, action: Action) {
        let said = self.live.action(RunTime::of_second(self.now), &action);
        self.said.extend(said);
    }

    pub(crate) fn step(&mut self, kind: StepKind) {
        self.act(Action::Step { kind });
    }

    /// Runs so many seconds, a reading each ten, somebody pressing each five minutes.
    pub(crate) fn run(&mut self, seconds: u64, row: impl Fn(u64) -> Option<Reading>) {
        self.run_alone(seconds, row, 300);
    }

    /// As [`Self::run`], somebody pressing each `here` seconds (0: nobody).
    pub(crate) fn run_alone(
        &mut self,
        seconds: u64,
        row: impl Fn(u64) -> Option<Reading>,
        here: u64,
    ) {
        for passed in 0..seconds {
            if self.now.is_multiple_of(10)
                && let Some(row) = row(passed)
            {
                let said = self.live.reading(RunTime::of_second(self.now), &row);
                self.said.extend(said);
            }
            if here > 0 && self.now.is_multiple_of(here) {
                self.act(Action::Here);
            }
            let said = self.live.tick(self.now);
            self.said.extend(said);
            self.now += 1;
        }
    }

    pub(crate) fn alarms(&self, code: &str) -> Vec<&Event> {
        let alarms = self.said.iter().filter(|event| event.kind == EventKind::Alarm);
        alarms.filter(|event| event.code == code).collect()
    }

    pub(crate) fn prompts(&self, code: &str) -> Vec<&Event> {
        let prompts = self.said.iter().filter(|event| event.kind == EventKind::Prompt);
        prompts.filter(|event| event.code == code).collect()
    }

    pub(crate) fn states(&self, code: &str) -> usize {
        self.said.iter().filter(|e| e.kind == EventKind::State && e.code == code).count()
    }
}

/// A row of a boiling still whose head stands at `head_c`; the last digits move as noise does.
#[expect(clippy::unnecessary_wraps, reason = "a scene takes a row or none")]
pub(crate) fn hot(head_c: f64) -> Option<Reading> {
    use std::sync::atomic::{AtomicU32, Ordering};
    static COUNT: AtomicU32 = AtomicU32::new(0);
    let wobble = 0.0625 * f64::from(COUNT.fetch_add(1, Ordering::Relaxed) % 2);
    let row = Reading::default()
        .with(Probe::Head, head_c + wobble)
        .with(Probe::Pot, 94.0 + wobble)
        .with(Probe::CoolantIn, 13.0)
        .with(Probe::CoolantOut, 24.0)
        .with(Probe::CoolantFlow, 1.8)
        .with(Probe::Heater, 1800.0)
        .with(Probe::Pressure, 1004.0);
    Some(row)
}

/// Such a row, changed.
pub(crate) fn with(change: impl Fn(&mut Reading)) -> Option<Reading> {
    hot(78.0).map(|mut row| {
        change(&mut row);
        row
    })
}
