//! A rehearsal: rows of a simulated still and of a stand-in attendant.

use still::plan::RunPlan;

use crate::error::AdviseError;
use crate::live::{Action, Event};
use crate::rows::SecondRows;

/// A simulated still with noisy probes, driven by a person or a stand-in attendant.
#[derive(Debug)]
pub struct Rehearsal {
    finished: bool,
}

impl Rehearsal {
    /// Sets up the still of `plan` at heater on.
    ///
    /// # Errors
    /// [`AdviseError::Plan`] for a plan that breaks a rule.
    pub fn new(plan: &RunPlan, _seed: u64, _attendant: bool) -> Result<Self, AdviseError> {
        plan.check()?;
        Ok(Self { finished: true })
    }

    /// What happens in run second `second`, given what the engine said in the second before.
    ///
    /// # Errors
    /// [`AdviseError`] where the still cannot be simulated on.
    pub fn second(&mut self, _second: u64, _due: &[Event]) -> Result<SecondRows, AdviseError> {
        Ok(SecondRows::default())
    }

    /// An action by the person at the page: changes the simulated still.
    pub fn person(&mut self, _time_s: f64, _action: &Action) {}

    /// Whether the still is off and cool.
    #[must_use]
    pub fn finished(&self) -> bool {
        self.finished
    }
}
