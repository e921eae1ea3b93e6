//! The engine: what comes in, in the order in which it takes effect.
//!
//! Readings, actions and jars only change what is known and say at once what they themselves bring
//! about (a step begins, the plateau is fixed, an alarm was reset). Prompts and alarms are judged in
//! `tick`, once for each whole second of run time, after the rows of that second; a tick that comes
//! late makes up for the seconds left out. There is no clock here: fed the same rows in the same
//! order, an engine built anew stands in the same state.

use quantities::RunTime;
use still::outcome::{EndedBy, Forecast};
use still::plan::{RunPlan, StepKind, StillKind, TakeOff};
use still::walk::PlanWalk;

use super::asking::Asking;
use super::drawn::{Drawn, Source};
use super::event::{Event, EventKind, Priority};
use super::finding::state_event;
use super::forecasts::Forecasts;
use super::jars::Jars;
use super::parts::{AtPlateau, Course, Foresight, Gauged, Spirit, Voice};
use super::probes::Probes;
use super::weighing::Weighing;
use crate::error::AdviseError;
use crate::knowledge::{Doubted, Moved, Reasons, RunEnd, Steady};
use estimate::{Character, usual_jar_ml};
use sense::{Instruments, JarRecord, Lateness, Probe, Reading, Row};

/// Sizes of jar that are taken, mL.
const JAR_ML: (f64, f64) = (10.0, 100_000.0);

/// How the engine works.
#[derive(Debug, Clone, PartialEq)]
pub struct LiveOptions {
    /// Whether forecasts are computed from the plan.
    pub forecast: bool,
    /// Whether an estimate from what is measured is asked for every minute.
    pub estimate: bool,
    /// What is believed about the still from earlier runs.
    pub character: Option<Character>,
    /// Size of a jar, mL (10 to 100 000); none = a fiftieth of the boiler, 200 to 2000 mL.
    pub jar_ml: Option<f64>,
    /// The instruments the rows were read with; the rows are put right already.
    pub instruments: Instruments,
}

impl Default for LiveOptions {
    fn default() -> Self {
        Self {
            forecast: true,
            estimate: true,
            character: None,
            jar_ml: None,
            instruments: Instruments::default(),
        }
    }
}

/// What the person last did.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Hand {
    pub(super) heater_w: Option<f64>,
    /// When the heater was last changed.
    pub(super) heater_s: f64,
    pub(super) heater_off_s: Option<f64>,
    pub(super) coolant_l_per_min: Option<f64>,
    pub(super) coolant_s: Option<f64>,
    pub(super) take_off_s: Option<f64>,
    /// When something was last measured at the spout.
    pub(super) spout_s: Option<f64>,
    /// The take-off stands open although no drawing step was recorded, since.
    pub(super) open_early_s: Option<f64>,
    /// Last action of any kind: somebody was there.
    pub(super) last_s: f64,
    /// How many actions there were.
    pub(super) actions: u64,
}

/// The live engine of one run.
#[derive(Debug, Clone, PartialEq)]
pub struct Live {
    pub(super) plan: RunPlan,
    /// Run time of the last tick, s.
    pub(super) now_s: f64,
    ticked: Option<u64>,
    pub(super) row_since_tick: bool,
    pub(super) hand: Hand,
    pub(super) probes: Probes,
    pub(super) instruments: Instruments,
    pub(super) course: Course,
    pub(super) spirit: Spirit,
    pub(super) foresight: Foresight,
    pub(super) voice: Voice,
}

impl Live {
    /// An engine at run time 0. A plan that cannot be forecast (it never boils) is attended
    /// without a forecast; [`Self::forecast_problem`] says why.
    ///
    /// # Errors
    /// [`AdviseError`] for a plan that breaks a rule, or an option out of range.
    pub fn new(plan: RunPlan, options: LiveOptions) -> Result<Self, AdviseError> {
        let computed = options.forecast.then(|| Forecasts::of(&plan).map_err(|e| e.to_string()));
        Self::with_forecasts(plan, options, computed)
    }

    /// As [`Self::new`] with forecasts that were computed elsewhere, or why there are none.
    ///
    /// # Errors
    /// [`AdviseError`], as there.
    pub fn with_forecasts(
        plan: RunPlan,
        options: LiveOptions,
        computed: Option<Result<Forecasts, String>>,
    ) -> Result<Self, AdviseError> {
        plan.check()?;
        let (forecasts, forecast_problem) = match computed {
            Some(Ok(forecasts)) => (Some(forecasts), None),
            other => (None, other.and_then(Result::err)),
        };
        let by_boiler = usual_jar_ml(&plan);
        let jar_ml = options.jar_ml.unwrap_or(by_boiler);
        if !(jar_ml >= JAR_ML.0 && jar_ml <= JAR_ML.1) {
            return Err(AdviseError::Option {
                field: "jar_ml",
                value: jar_ml,
                low: JAR_ML.0,
                high: JAR_ML.1,
                hint: "give the size of one jar in millilitres",
            });
        }
        let open = match plan.still.kind {
            StillKind::Pot => TakeOff::RefluxRatio(0.0),
            StillKind::Column => TakeOff::Closed,
        };
        let foresight = Foresight {
            forecasts,
            forecast_problem,
            estimates: options.forecast && options.estimate,
            character: options.character,
            asking: Asking::default(),
            doubted: Doubted::default(),
            moved: Moved::default(),
            reasons: Reasons::default(),
            was_blind: false,
        };
        let charge_ml = 1000.0 * plan.charge.litres;
        let charge_ml = (charge_ml, charge_ml * plan.charge.strength_vol / 100.0);
        let spirit = Spirit {
            drawn: Drawn::new(open, charge_ml),
            jars: Jars::default(),
            gauged: Gauged::default(),
            jar_ml,
            jar_stated: options.jar_ml.is_some(),
            over_charge: Steady::default(),
            over_vapour_s: None,
            weighing: Weighing::default(),
        };
        Ok(Self {
            now_s: 0.0,
            ticked: None,
            row_since_tick: false,
            hand: Hand::default(),
            instruments: options.instruments,
            probes: Probes::new(plan.site.pressure_hpa, plan.site.coolant_in_c)?,
            course: Course::new(PlanWalk::new(&plan)),
            spirit,
            foresight,
            voice: Voice::default(),
            plan,
        })
    }

    /// Takes one row of a record; one of a time that no run has is left alone.
    pub fn row(&mut self, row: Row<'_>) -> Vec<Event> {
        let at = |time_s| RunTime::from_seconds(time_s).ok();
        let said = match row {
            Row::Reading(time_s, reading) => at(time_s).map(|at| self.reading(at, reading)),
            Row::Action(time_s, action) => at(time_s).map(|at| self.action(at, action)),
            Row::Jar(jar) => Some(self.jar(jar)),
        };
        said.unwrap_or_default()
    }

    /// Takes one row of readings.
    pub fn reading(&mut self, at: RunTime, row: &Reading) -> Vec<Event> {
        if self.course.is_over() {
            return Vec::new();
        }
        let time_s = at.seconds();
        self.row_since_tick = true;
        if self.foresight.asking.keeps(time_s) {
            self.foresight.asking.rows.readings.push((time_s, *row));
        }
        let context = self.context();
        let idle = self.probes.take(time_s, row, &context);
        if time_s < self.now_s {
            self.probes.came_late(row, self.now_s - time_s);
        }
        self.look_for_vapour(time_s);
        let mut said = self.weigh(time_s);
        said.extend(idle.into_iter().flat_map(|idle| self.was_idle(idle)));
        said
    }

    /// Readings come so late: whoever feeds the engine in order knows it and it does not.
    pub fn expect_late(&mut self, lateness: &Lateness) {
        self.probes.expect_late(lateness);
    }

    /// Takes the record of a filled jar. Its volume counts as measured.
    pub fn jar(&mut self, jar: &JarRecord) -> Vec<Event> {
        let sound = jar.volume_ml.is_finite() && jar.volume_ml >= 0.0 && jar.end_s >= jar.start_s;
        let possible = RunTime::from_seconds(jar.end_s).is_ok();
        if sound && possible && !self.course.is_over() {
            self.row_since_tick = true;
            self.foresight.asking.rows.jars.retain(|other| other.number != jar.number);
            self.foresight.asking.rows.jars.push(jar.clone());
            self.measured_jar(jar);
        }
        Vec::new()
    }

    /// Ends run second `second`, all of whose rows are in. A second that was ticked is left alone.
    pub fn tick(&mut self, second: u64) -> Vec<Event> {
        let mut said = Vec::new();
        let from = self.ticked.map_or(0, |last| last + 1);
        for at in from..=second.min(RunTime::SECONDS_MAX) {
            if self.course.is_over() {
                break;
            }
            self.second(at, &mut said);
        }
        said
    }

    fn second(&mut self, second: u64, said: &mut Vec<Event>) {
        let now_s = second as f64;
        let passed_s = if self.ticked.is_some() { now_s - self.now_s } else { 0.0 };
        self.ticked = Some(second);
        self.now_s = now_s;
        self.hear(second);
        self.look_for_vapour(now_s);
        self.follow_heat();
        self.account(passed_s, said);
        self.say_head_out(said);
        self.recognise(said);
        self.follow_knee();
        if self.course.steps.kind().draws()
            && let Some((by, _)) = self.trigger_reached()
        {
            self.course.reach(by);
        }
        self.prompt(said);
        self.follow_coolant();
        let (phase, found) = (self.phase(), self.findings());
        self.voice.alarms.update(now_s, phase, found, said);
        self.look_for_end(said);
        self.say_moves(said);
        self.ask(second);
        self.row_since_tick = false;
    }

    /// Litres, alcohol and plateau of the second that has passed.
    fn account(&mut self, passed_s: f64, said: &mut Vec<Event>) {
        self.follow_take_off();
        self.follow_scale(said);
        let rate = self.rate_ml_min();
        let rate = self.accounted_ml_min(rate, passed_s);
        if rate > 0.0 && passed_s > 0.0 {
            self.draw(passed_s, rate);
        }
        self.follow_unseen();
        self.follow_level();
        let seen = self.observation();
        let known = self.course.steps.plateau().plateau().is_some();
        self.course.steps.observe(&seen);
        if !known && self.course.steps.plateau().plateau().is_some() {
            self.foresight.reasons.note(self.now_s, "this run's plateau is known");
            let read = |probe| self.probes.reader().fresh(probe, self.now_s);
            self.course.at_plateau = AtPlateau {
                coolant_in_c: read(Probe::CoolantIn),
                pressure_hpa: read(Probe::Pressure).map(|_| self.probes.pressure_hpa()),
            };
            said.push(self.plateau_event(self.now_s));
        }
    }

    fn plateau_event(&self, time_s: f64) -> Event {
        let plateau_c =
            self.course.steps.plateau().plateau().unwrap_or(0.0) + self.probes.shift_k();
        let how = if self.course.steps.plateau().fixed_early() {
            "the head already stands 1 K over its lowest five minutes of hearts"
        } else {
            "median of the head from 10 to 20 min of hearts, pressure-corrected"
        };
        let text = format!("This run's plateau is {plateau_c:.2} °C at the present pressure.");
        state_event(time_s, "plateau_known", text, how)
    }

    /// Goes over to step `index` of the plan.
    pub(super) fn begin_step(&mut self, time_s: f64, index: usize, how: &str) -> Event {
        self.course.steps.begin(&self.plan, index, RunTime::nearest_seconds(time_s));
        let kind = self.course.steps.kind();
        self.foresight.reasons.note(time_s, "a step of the plan began");
        if kind != StepKind::Stop {
            self.course.nothing_reached();
        }
        self.spirit.drawn.step_begins(time_s, kind == StepKind::Hearts);
        self.hand.open_early_s = None;
        // A take-off recorded shortly before belongs to this step; else it is as planned.
        let recent = self.hand.take_off_s.is_some_and(|at| time_s - at <= 120.0);
        let planned = self.plan.steps[index].take_off();
        let pot = self.plan.still.kind == StillKind::Pot;
        if !recent && (kind.draws() || (kind == StepKind::Equalise && !pot)) {
            self.spirit.drawn.change(time_s, planned, Source::Planned);
        }
        let slow = self.plan.is_slow_phase(index);
        let name = if slow { "slow hearts" } else { kind.name() };
        Event {
            time_s,
            kind: EventKind::Step,
            code: if slow { "slow_hearts" } else { kind.name() },
            priority: Priority::Low,
            text: format!("Step {} of {} begins: {name}.", index + 1, self.plan.steps.len()),
            how_sure: how.to_owned(),
            to_do: String::new(),
            within_s: None,
        }
    }

    /// How the run ended, once it has.
    #[must_use]
    pub fn end(&self) -> Option<RunEnd> {
        self.course.end().cloned()
    }

    /// The end as it would be if the run ended now.
    #[must_use]
    pub fn end_now(&self) -> RunEnd {
        let ended_by = match (self.course.steps.kind(), self.course.reached()) {
            _ if self.voice.alarms.stands("element_cover") => EndedBy::ElementCover,
            (StepKind::Stop, Some(_)) => EndedBy::Plan,
            _ => EndedBy::Person,
        };
        RunEnd {
            time_s: self.now_s,
            ended_by,
            litres_20c: self.spirit.drawn.ml() / 1000.0,
            pure_alcohol_l: self.spirit.drawn.alcohol_ml() / 1000.0,
        }
    }

    /// The data end here: ends the run where it stands.
    pub fn close(&mut self) -> Vec<Event> {
        if self.course.is_over() {
            return Vec::new();
        }
        self.finish("the readings and actions end here")
    }

    pub(super) fn finish(&mut self, how: &str) -> Vec<Event> {
        let end = self.end_now();
        let text = format!(
            "The run is over: {:.2} L drawn, {:.2} L of pure alcohol.",
            end.litres_20c, end.pure_alcohol_l
        );
        self.course.finish(end);
        vec![state_event(self.now_s, "run_ended", text, how)]
    }

    /// The forecast of the plan as stated, where there is one.
    #[must_use]
    pub fn forecast(&self) -> Option<&Forecast> {
        self.foresight.forecasts.as_ref().map(Forecasts::nominal)
    }

    /// Why there is no forecast, where one was asked for and could not be made.
    #[must_use]
    pub fn forecast_problem(&self) -> Option<&str> {
        self.foresight.forecast_problem.as_deref()
    }
}
