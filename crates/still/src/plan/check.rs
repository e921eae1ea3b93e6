//! Refuses a plan that cannot be run, naming field, value, bound and what to do about it.

mod apparatus;
mod measured;
mod refuse;
mod start;
mod steps;

pub use apparatus::STATION_HPA;
pub use refuse::{PlanError, STEPS_MAX, TITLE_CHARACTERS_MAX};
use refuse::{refuse, text};

use super::{HeatSource, OwnStill, RunPlan, Still};

/// The newest format of the run folder. 2: more columns of readings.
pub const FORMAT_NEWEST: u32 = 2;

impl RunPlan {
    /// Checks every rule of the run format and the bounds of every number.
    ///
    /// A plan that passes may still earn warnings from a forecast (boiler too full, take-off over
    /// the vapour): those are about what it gives, not about whether it means something.
    ///
    /// # Errors
    /// [`PlanError`] for the first thing that is wrong, in the order of the file.
    pub fn check(&self) -> Result<(), PlanError> {
        if !(1..=FORMAT_NEWEST).contains(&self.format) {
            return Err(refuse(
                "format",
                self.format,
                format!("must be 1 to {FORMAT_NEWEST}"),
                "this program reads these formats of the run folder; a newer file needs a newer program",
            ));
        }
        text("title", &self.title, "say in a few words what this run is")?;
        start::check(&self.start)?;
        self.still.check()?;
        apparatus::charge(self)?;
        apparatus::site(&self.site)?;
        steps::check(self)
    }
}

impl Still {
    /// Checks the apparatus alone, as one part of [`RunPlan::check`].
    ///
    /// # Errors
    /// [`PlanError`] for the first key that is wrong.
    pub fn check(&self) -> Result<(), PlanError> {
        apparatus::still(self)
    }
}

impl OwnStill {
    /// Checks what a person said about their own still: litres and heater.
    ///
    /// # Errors
    /// [`PlanError`] for the first key that is wrong.
    pub fn check(&self) -> Result<(), PlanError> {
        apparatus::boiler(self.boiler_litres, &self.elements_watts, HeatSource::Electric)
    }
}

#[cfg(test)]
mod tests;
