//! The engine itself.

use still::outcome::{EndedBy, Forecast};
use still::plan::{RunPlan, StepKind};

use super::advice::{Advice, RunEnd, State};
use super::event::Event;
use super::input::{Action, JarRecord, Reading};
use crate::error::AdviseError;

/// How the engine works.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LiveOptions {
    /// Whether forecasts are computed.
    pub forecast: bool,
    /// Size of a jar, mL; none = by the boiler.
    pub jar_ml: Option<f64>,
}

impl Default for LiveOptions {
    fn default() -> Self {
        Self { forecast: true, jar_ml: None }
    }
}

/// The live engine of one run.
#[derive(Debug, Clone)]
pub struct Live {
    plan: RunPlan,
    now_s: f64,
    end: Option<RunEnd>,
}

impl Live {
    /// An engine at run time 0.
    ///
    /// # Errors
    /// [`AdviseError`] for a plan that breaks a rule or an option out of range.
    pub fn new(plan: RunPlan, _options: LiveOptions) -> Result<Self, AdviseError> {
        plan.check()?;
        Ok(Self { plan, now_s: 0.0, end: None })
    }

    /// Takes one row of readings.
    pub fn reading(&mut self, _time_s: f64, _row: &Reading) -> Vec<Event> {
        Vec::new()
    }

    /// Takes one action of the person.
    pub fn action(&mut self, _time_s: f64, _action: &Action) -> Vec<Event> {
        Vec::new()
    }

    /// Takes the record of a filled jar.
    pub fn jar(&mut self, _jar: &JarRecord) -> Vec<Event> {
        Vec::new()
    }

    /// Ends run second `second`, all of whose rows are in.
    pub fn tick(&mut self, second: u64) -> Vec<Event> {
        self.now_s = second as f64;
        Vec::new()
    }

    /// Everything that is known now.
    #[must_use]
    pub fn advice(&self) -> Advice {
        Advice {
            time_s: self.now_s,
            state: State::BeforeHeat,
            step_index: 0,
            step: self.plan.steps.first().map_or(StepKind::Heat, |step| step.kind),
            step_started_s: 0.0,
            headline: "Not heating.".to_owned(),
            expectation: None,
            next: None,
            cannot_know: None,
            plateau_c: None,
            plateau_provisional: false,
            rise_k: None,
            trigger_rise_k: None,
            strength_now: None,
            hearts_strength: None,
            litres: None,
            pure_alcohol_l: None,
            pot_alcohol_l: None,
            takeoff_ml_per_min: None,
            heater_w: None,
            coolant_l_per_min: None,
            channels: Vec::new(),
            boundaries: Vec::new(),
            jars: Vec::new(),
            alarms: Vec::new(),
            seen: Vec::new(),
            prompts: Vec::new(),
            quiet: Vec::new(),
            attendant_left_s: 600.0,
            end: self.end.clone(),
        }
    }

    /// How the run ended, once it has.
    #[must_use]
    pub fn end(&self) -> Option<RunEnd> {
        self.end.clone()
    }

    /// The end as it would be if the run ended now.
    #[must_use]
    pub fn end_now(&self) -> RunEnd {
        RunEnd {
            time_s: self.now_s,
            ended_by: EndedBy::Person,
            litres_20c: 0.0,
            pure_alcohol_l: 0.0,
        }
    }

    /// The data end here: ends the run where it stands.
    pub fn close(&mut self) -> Vec<Event> {
        if self.end.is_none() {
            self.end = Some(self.end_now());
        }
        Vec::new()
    }

    /// The forecast of the plan, where one was computed.
    #[must_use]
    pub fn forecast(&self) -> Option<&Forecast> {
        None
    }
}
