//! The driven still for one size of mixture: a plant, what its thermometers and its coolant show.

use quantities::{Power, Pressure, RunTime};
use thermo::Mixture;

use super::drive::Drive;
use super::state::RunningState;
use crate::cancel::Cancel;
use crate::error::StillError;
use crate::fraction::Fraction;
use crate::led::Led;
use crate::plan::{RunPlan, TakeOff};
use crate::plant::{Charged, Pace, Phase, Plant};
use crate::setup::{self, ChargeMoles, ICE_POINT_K};
use crate::walk::{Met, PlanWalk};

/// First integrator step after a change, s.
const FIRST_STEP_S: f64 = 1.0;
/// Tolerance of the integration: it stands for the real still, so it is finer than what is compared
/// with it.
const RTOL: f64 = 1e-5;
/// How far a running plant may go ahead of what is shown, s: as far as its own steps.
const AHEAD_S: f64 = 3600.0;
/// How fast a head without vapour falls back to ambient, s, and how fast it comes back.
const HEAD_COOLING_S: f64 = 240.0;
const HEAD_WARMING_S: f64 = 30.0;
/// A head this near its vapour follows it at once, K.
const HEAD_NEAR_K: f64 = 5.0;
/// Heat capacity of a litre of water near 40 °C, J/K (handbook, rounded).
const WATER_J_PER_L_K: f64 = 4150.0;

/// A driven still of mixtures of `C` places.
pub(super) struct Driven<const C: usize> {
    /// It may have gone ahead of what is shown, by less than one of its stretches.
    plant: Plant<C, Mixture<C>>,
    /// What is shown is of this time, s.
    time_s: f64,
    head: Head,
    /// The thermometer in the column loses its vapour like the head's.
    middle: Head,
    /// Moles drawn when the running step began.
    before_mol: [f64; C],
    coolant_in_c: f64,
    coolant_l_per_min: f64,
}

/// What the head thermometer shows: it follows its vapour at once, but not the loss of it.
#[derive(Debug, Clone, Copy)]
struct Head {
    shown_k: f64,
    hot: bool,
}

impl Head {
    fn follow(&mut self, passed_s: f64, vapour_k: Option<f64>, ambient_k: f64) {
        let (target_k, time_constant_s) = match vapour_k {
            Some(vapour_k) => (vapour_k, HEAD_WARMING_S),
            None => (ambient_k, HEAD_COOLING_S),
        };
        let near = (self.shown_k - target_k).abs() < HEAD_NEAR_K;
        self.hot = vapour_k.is_some() && (self.hot || near);
        let kept = if self.hot { 0.0 } else { (-passed_s / time_constant_s).exp() };
        self.shown_k = target_k + (self.shown_k - target_k) * kept;
    }
}

impl<const C: usize> Driven<C> {
    pub(super) fn new(
        plan: &RunPlan,
        charge: &ChargeMoles,
        mixture: Mixture<C>,
    ) -> Result<Self, StillError> {
        let apparatus = setup::apparatus(plan, None);
        let ambient_k = apparatus.ambient_k;
        let charged = Charged {
            equilibrium: mixture,
            apparatus,
            charge_mol: charge.padded::<C>(),
            start_k: plan.charge.temperature_c + ICE_POINT_K,
        };
        let pace = Pace { rtol: RTOL, first_step_s: FIRST_STEP_S, small_change: 0.0 };
        let mut plant = Plant::new(charged, pace, Cancel::never())?;
        plant.start_up().must_boil(plan.step_power(0).watts())?;
        plant.set_floor_litres(plan.still.element_cover_litres);
        Ok(Self {
            plant,
            time_s: 0.0,
            head: Head { shown_k: ambient_k, hot: false },
            middle: Head { shown_k: ambient_k, hot: false },
            before_mol: [0.0; C],
            coolant_in_c: plan.site.coolant_in_c,
            coolant_l_per_min: 0.0,
        })
    }

    /// Brings the plant back to what is shown, where something is about to change.
    fn settle(&mut self) -> Result<(), StillError> {
        self.plant.back_to(self.time_s)
    }

    /// What is shown moves on to a time that the plant has reached.
    fn show(&mut self, time_s: f64) -> Result<(), StillError> {
        self.plant.look(time_s)?;
        let vapour_k = self.plant.head_k()?;
        let ambient_k = self.plant.column.apparatus.ambient_k;
        // The first vapour comes to a column whose metal is hot: the head jumps.
        self.head.hot |= !self.plant.is_full();
        self.head.follow(time_s - self.time_s, vapour_k, ambient_k);
        self.middle.hot |= !self.plant.is_full();
        let [middle_k] = self.plant.column_k([self.plant.column.apparatus.column_probe]);
        // Before the column runs its liquid is all of one kind, as hot as the first vapour.
        let middle_k = if self.plant.runs() { Some(middle_k) } else { vapour_k };
        self.middle.follow(time_s - self.time_s, middle_k, ambient_k);
        self.time_s = time_s;
        Ok(())
    }

    fn coolant_out_c(&self) -> f64 {
        let flow = self.coolant_l_per_min.max(1e-6);
        let rise_k = self.plant.duty_w() * 60.0 / (flow * WATER_J_PER_L_K);
        let most_c = (self.head.shown_k - ICE_POINT_K).max(self.coolant_in_c);
        (self.coolant_in_c + rise_k).min(most_c)
    }
}

impl<const C: usize> Drive for Driven<C> {
    fn set_heater_watts(&mut self, watts: f64) -> Result<(), StillError> {
        self.settle()?;
        self.plant.set(watts, self.plant.column.draw);
        Ok(())
    }

    fn set_take_off(&mut self, take_off: TakeOff) -> Result<(), StillError> {
        self.settle()?;
        self.plant.set(self.plant.column.heater_w, setup::draw(take_off));
        Ok(())
    }

    fn set_coolant_l_per_min(&mut self, flow: f64) {
        self.coolant_l_per_min = flow;
    }

    fn set_pressure_pa(&mut self, pressure_pa: f64) -> Result<(), StillError> {
        self.settle()?;
        self.plant.set_pressure_pa(pressure_pa)
    }

    fn advance_to(&mut self, time_s: f64) -> Result<(), StillError> {
        if time_s <= self.time_s {
            return Ok(());
        }
        self.plant.allow_anew();
        while self.plant.time_s < time_s {
            // Only a running plant may go ahead: its steps can be looked into.
            let runs = self.plant.phase == Phase::Running;
            self.plant.advance(if runs { time_s + AHEAD_S } else { time_s })?;
            let reached_s = self.plant.time_s.min(time_s);
            self.show(reached_s)?;
        }
        self.show(time_s)
    }

    fn begin_step(&mut self) -> Result<(), StillError> {
        self.plant.look(self.time_s)?;
        self.before_mol = self.plant.drawn_mol();
        Ok(())
    }

    fn follow(&mut self, walk: &mut PlanWalk, limit_s: f64) -> Result<Option<Met>, StillError> {
        self.settle()?;
        self.plant.allow_anew();
        let before_mol = self.before_mol;
        let mut led = Led { plant: &mut self.plant, walk, before_mol, watch: true };
        let met = led.run_step(limit_s, |_, _| Ok(()))?;
        self.show(self.plant.time_s)?;
        Ok(met)
    }

    fn state(&mut self) -> Result<RunningState, StillError> {
        self.plant.look(self.time_s)?;
        let plant = &self.plant;
        let total = plant.drawn_mol();
        let own: [f64; C] = std::array::from_fn(|i| total[i] - self.before_mol[i]);
        let full = plant.is_full();
        let station_pa = plant.column.apparatus.top_pressure_pa;
        Ok(RunningState {
            time: RunTime::nearest_seconds(self.time_s),
            head_c: self.head.shown_k - ICE_POINT_K,
            column_c: self.middle.shown_k - ICE_POINT_K,
            pot_c: plant.pot_c(),
            drum_vol: full.then(|| plant.drum_vol()),
            drawn: Fraction::of(&total),
            step: Fraction::of(&own),
            takeoff_ml_per_min: plant.takeoff_ml_per_min(),
            vn_mol_s: plant.vapours().1,
            pot: Fraction::of(plant.pot_mol()),
            held: Fraction::of(&plant.held_mol()),
            balance: plant.balance(),
            pot_share: plant.pot_mol().iter().sum::<f64>() / plant.charge_mol.iter().sum::<f64>(),
            vapour: plant.vapour(),
            boiling: plant.boils(),
            ready: full,
            coolant_out_c: self.coolant_out_c(),
            heater: Power::nearest_watts(plant.column.heater_w),
            pressure: Pressure::nearest_pascals(station_pa),
            dry: plant.is_dry(),
        })
    }
}
