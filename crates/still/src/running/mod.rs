//! A simulated still that a person drives: heater, take-off and coolant change at any time, the
//! plan's steps are not followed.
//!
//! Same equations as the forecast. When the heat no longer makes vapour, the column keeps its
//! liquid, the pot cools by its loss and the head falls back to ambient; heated again, it goes on
//! where it stopped. What was charged is in the pot, held in column and drum, or drawn, at every
//! moment; vapour lost for want of coolant is not modelled.

mod drive;
mod driven;
mod state;

use drive::Drive;
use driven::Driven;
use quantities::{Power, Pressure, RunTime};
pub use state::RunningState;
use thermo::Mixture;

use crate::error::StillError;
use crate::plan::{RunPlan, TakeOff};
use crate::setup::ChargeMoles;
use crate::walk::{Met, PlanWalk};

/// A simulated still with a person at it.
pub struct RunningStill(Box<dyn Drive>);

impl RunningStill {
    /// The still of a plan, charged and cold: heater off, take-off closed, coolant off.
    ///
    /// # Errors
    /// [`StillError`] for a plan that cannot be run.
    pub fn new(plan: &RunPlan) -> Result<Self, StillError> {
        plan.check()?;
        let charge = ChargeMoles::of(&plan.charge);
        Ok(Self(match charge.components.len() {
            0..=2 => boxed::<2>(plan, &charge)?,
            3..=8 => boxed::<8>(plan, &charge)?,
            9..=10 => boxed::<10>(plan, &charge)?,
            _ => boxed::<14>(plan, &charge)?,
        }))
    }

    /// Changes the heater power.
    ///
    /// # Errors
    /// [`StillError`] when the equations fail.
    pub fn set_heater(&mut self, power: Power) -> Result<(), StillError> {
        self.0.set_heater_watts(power.watts())
    }

    /// Changes the take-off; never more comes than vapour reaches the top.
    ///
    /// # Errors
    /// [`StillError`] when the equations fail.
    pub fn set_take_off(&mut self, take_off: TakeOff) -> Result<(), StillError> {
        self.0.set_take_off(take_off)
    }

    /// A step begins: [`RunningState::step`] counts from here.
    ///
    /// # Errors
    /// [`StillError`] when the equations fail.
    pub fn begin_step(&mut self) -> Result<(), StillError> {
        self.0.begin_step()
    }

    /// Lets run time pass until the walk says that its step ends, or up to `limit`.
    ///
    /// # Errors
    /// [`StillError`] when the equations fail.
    pub fn follow(
        &mut self,
        walk: &mut PlanWalk,
        limit: RunTime,
    ) -> Result<Option<Met>, StillError> {
        self.0.follow(walk, limit.seconds())
    }

    /// Changes the coolant flow, L/min.
    pub fn set_coolant_l_per_min(&mut self, flow: f64) {
        self.0.set_coolant_l_per_min(flow);
    }

    /// Changes the station pressure.
    ///
    /// # Errors
    /// [`StillError`] when the column has no boiling points there.
    pub fn set_pressure(&mut self, pressure: Pressure) -> Result<(), StillError> {
        self.0.set_pressure_pa(pressure.pascals())
    }

    /// Lets run time pass; a time already past does nothing.
    ///
    /// # Errors
    /// [`StillError`] when the equations fail.
    pub fn advance_to(&mut self, time: RunTime) -> Result<(), StillError> {
        self.0.advance_to(time.seconds())
    }

    /// What it shows now.
    ///
    /// # Errors
    /// [`StillError`] when the equations fail.
    pub fn state(&mut self) -> Result<RunningState, StillError> {
        self.0.state()
    }
}

impl std::fmt::Debug for RunningStill {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("RunningStill")
    }
}

fn boxed<const C: usize>(
    plan: &RunPlan,
    charge: &ChargeMoles,
) -> Result<Box<dyn Drive>, StillError> {
    let mixture = Mixture::<C>::new(&charge.components)
        .map_err(|error| StillError::Column { time_s: 0.0, source: error.into() })?;
    Ok(Box::new(Driven::new(plan, charge, mixture)?))
}
