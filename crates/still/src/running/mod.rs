//! A simulated still that a person drives: heater, take-off and coolant change at any time, the
//! plan's steps are not followed.
//!
//! Same equations as the forecast. When the heat no longer makes vapour, the column keeps its
//! liquid, the pot cools by its loss and the head falls back to ambient; heated again, it goes on
//! where it stopped. What was charged is in the pot, held in column and drum, or drawn, at every
//! moment; vapour lost for want of coolant is not modelled.

mod driven;

use driven::Driven;
use thermo::Mixture;

use crate::error::StillError;
use crate::outcome::Balance;
use crate::plan::{RunPlan, TakeOff};
use crate::setup::ChargeMoles;
use crate::walk::{Met, Observation, PlanWalk};

/// What the simulated still shows at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct RunningState {
    /// Run time, s.
    pub time_s: f64,
    /// What a perfect head thermometer shows, °C.
    pub head_c: f64,
    /// Pot, °C.
    pub pot_c: f64,
    /// Strength of what is (or would be) drawn, % vol; none before the stages are full.
    pub drum_vol: Option<f64>,
    /// Litres at 20 °C drawn so far.
    pub collected_l: f64,
    /// Litres of pure alcohol drawn so far.
    pub pure_alcohol_l: f64,
    /// Litres at 20 °C drawn since [`RunningStill::begin_step`].
    pub step_l: f64,
    /// Take-off, mL/min at 20 °C.
    pub takeoff_ml_per_min: f64,
    /// Vapour leaving the pot, mol/s.
    pub v0_mol_s: f64,
    /// Vapour leaving the top stage, mol/s.
    pub vn_mol_s: f64,
    /// Litres at 20 °C in the pot.
    pub pot_l: f64,
    /// Strength in the pot, % vol.
    pub pot_vol: f64,
    /// Litres of pure alcohol in the pot.
    pub pot_alcohol_l: f64,
    /// Litres at 20 °C held in column and drum; none before they are full.
    pub held_l: f64,
    /// Litres of pure alcohol held in column and drum.
    pub held_alcohol_l: f64,
    /// What was charged less what is in the pot, held or drawn, in moles: rounding only.
    pub balance: Balance,
    /// Moles in the pot as a share of the charge.
    pub pot_share: f64,
    /// Vapour that reaches the top, mol/s; zero where none does, none where it is still to come.
    pub vapour: Option<f64>,
    /// Liquid on each stage from the bottom up, % vol; empty before the stages are full.
    pub stages_vol: Vec<f64>,
    /// Whether the pot boils.
    pub boiling: bool,
    /// Whether stages and drum are full.
    pub ready: bool,
    /// Coolant outlet, °C.
    pub coolant_out_c: f64,
    /// Heater power, W.
    pub heater_w: f64,
    /// Station pressure, hPa.
    pub pressure_hpa: f64,
    /// Whether the pot is down to the element cover: the simulation stands still.
    pub dry: bool,
}

/// What a size-erased still can do.
trait Drive: Send {
    fn set_heater_watts(&mut self, watts: f64) -> Result<(), StillError>;
    fn set_take_off(&mut self, take_off: TakeOff) -> Result<(), StillError>;
    fn set_coolant_l_per_min(&mut self, flow: f64);
    fn set_pressure_hpa(&mut self, pressure_hpa: f64) -> Result<(), StillError>;
    fn advance_to(&mut self, time_s: f64) -> Result<(), StillError>;
    fn begin_step(&mut self) -> Result<(), StillError>;
    fn follow(&mut self, walk: &mut PlanWalk, limit_s: f64) -> Result<Option<Met>, StillError>;
    fn state(&mut self) -> Result<RunningState, StillError>;
}

impl RunningState {
    /// Whether vapour reaches the top.
    #[must_use]
    pub fn runs(&self) -> bool {
        self.vapour.is_some_and(|vapour| vapour > 0.0)
    }

    /// What exact probes and jars would tell a walk.
    #[must_use]
    pub fn observation(&self) -> Observation {
        Observation {
            time_s: self.time_s,
            step_ml: Some(1000.0 * self.step_l),
            total_ml: Some(1000.0 * self.collected_l),
            drum_vol: self.drum_vol.filter(|_| self.runs()),
            pot_c: Some(self.pot_c),
            head: self.runs().then_some(self.head_c),
            pot_litres: Some(self.pot_l),
            pot_share: Some(self.pot_share),
            vapour: self.vapour,
            filled: self.ready,
            drawing: self.takeoff_ml_per_min > 0.0,
        }
    }
}

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

    /// Changes the heater power, W.
    ///
    /// # Errors
    /// [`StillError`] when the equations fail.
    pub fn set_heater_watts(&mut self, watts: f64) -> Result<(), StillError> {
        self.0.set_heater_watts(watts)
    }

    /// Changes the take-off; never more comes than vapour reaches the top.
    ///
    /// # Errors
    /// [`StillError`] when the equations fail.
    pub fn set_take_off(&mut self, take_off: TakeOff) -> Result<(), StillError> {
        self.0.set_take_off(take_off)
    }

    /// A step begins: [`RunningState::step_l`] counts from here.
    ///
    /// # Errors
    /// [`StillError`] when the equations fail.
    pub fn begin_step(&mut self) -> Result<(), StillError> {
        self.0.begin_step()
    }

    /// Lets run time pass until the walk says that its step ends, or up to `limit_s`.
    ///
    /// # Errors
    /// [`StillError`] when the equations fail.
    pub fn follow(&mut self, walk: &mut PlanWalk, limit_s: f64) -> Result<Option<Met>, StillError> {
        self.0.follow(walk, limit_s)
    }

    /// Changes the coolant flow, L/min.
    pub fn set_coolant_l_per_min(&mut self, flow: f64) {
        self.0.set_coolant_l_per_min(flow);
    }

    /// Changes the station pressure, hPa.
    ///
    /// # Errors
    /// [`StillError`] when the column has no boiling points there.
    pub fn set_pressure_hpa(&mut self, pressure_hpa: f64) -> Result<(), StillError> {
        self.0.set_pressure_hpa(pressure_hpa)
    }

    /// Lets run time pass; a time already past does nothing.
    ///
    /// # Errors
    /// [`StillError`] when the equations fail.
    pub fn advance_to(&mut self, time_s: f64) -> Result<(), StillError> {
        self.0.advance_to(time_s)
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
