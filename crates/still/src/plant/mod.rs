//! The plant: boiler, column, drum and receiver through heating, filling, running and resting.
//!
//! Heater and take-off are set at any time; no plan is known here. The forecast, the estimate's
//! track and the driven still all run this one. When no vapour rises the column keeps its liquid
//! and the pot cools by its loss; heated again, it goes on where it stopped. Moles are conserved:
//! what was charged is in the pot, held in column and drum, drawn, or lost as vapour on its way to
//! the receiver.

mod advance;
mod cold;
mod look;
mod stretch;
mod warming;

use cold::BOILING_W;
pub(crate) use cold::{Cold, StartUp};
use numerics::rosenbrock::Rosenbrock;
pub(crate) use stretch::Phase;
use stretch::Stretch;

use crate::cancel::Cancel;
use crate::column::{Apparatus, Column, Draw};
use crate::equilibrium::Equilibrium;
use crate::error::StillError;
use crate::fraction::Fraction;
use crate::setup;
use crate::walk::DRY_SHARE;

/// Less of the pot's vapour than this share at the top is none (judgement).
const VAPOUR_SHARE: f64 = 1e-3;
/// Latent heat that turns spare watts into vapour where the two are compared, J/mol (handbook,
/// rounded: water 40.7, ethanol 38.6 kJ/mol at their boiling points).
const LATENT_J_MOL: f64 = 40_000.0;
/// Attempts at integrator steps of one reckoning, accepted or not: some forty times what 300 drawn
/// plans needed at most at the forecast's tolerance, which leaves room for plans of many steps and
/// for a tolerance a thousand times finer. It is about a second of work.
const ATTEMPTS_MAX: usize = 10_000;
/// How far under its floor the pot is let down, L and share of the charge: whoever looks for the
/// floor itself finds it before nothing boils any more.
const UNDER_FLOOR: (f64, f64) = (1e-6, 1e-9);

/// How the integrator is begun after a change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pace {
    /// Relative tolerance.
    pub(crate) rtol: f64,
    /// First step after a change, s.
    pub(crate) first_step_s: f64,
    /// A change of heater or take-off by less than this share needs no new start.
    pub(crate) small_change: f64,
}

/// What a plant is made of.
pub(crate) struct Charged<const C: usize, E> {
    pub(crate) equilibrium: E,
    pub(crate) apparatus: Apparatus,
    pub(crate) charge_mol: [f64; C],
    /// Temperature of the charge at heater on, K.
    pub(crate) start_k: f64,
}

/// When the start-up came to its events, s.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Marks {
    pub(crate) boil_s: Option<f64>,
    pub(crate) head_jump_s: Option<f64>,
    pub(crate) ready_s: Option<f64>,
}

/// What was last looked at.
struct Seen {
    state: Vec<f64>,
    time_s: f64,
    /// Pot, K.
    pot_k: f64,
    phase: Phase,
    /// Before the column is full: whether the head is at vapour temperature, and the charge boils.
    hot: bool,
    boils: bool,
}

/// A still that runs.
pub(crate) struct Plant<const C: usize, E> {
    pub(crate) column: Column<C, E>,
    pub(crate) integrator: Rosenbrock,
    pub(crate) charge_mol: [f64; C],
    pub(crate) time_s: f64,
    pub(crate) phase: Phase,
    pub(crate) marks: Marks,
    start: StartUp<C>,
    cold: Cold,
    state: Vec<f64>,
    /// Pot while the column is full and rests, K; else where it boils.
    pot_k: f64,
    /// Boiling point of a resting pot, K.
    boil_k: f64,
    /// At these settings no vapour rises, however hot the pot.
    stuck: bool,
    /// Pot litres and share of the charge at which nothing is boiled any more.
    floor: (f64, f64),
    dry: bool,
    pace: Pace,
    /// Whether the column was evaluated at the state with what is set.
    fresh: bool,
    stretch: Stretch,
    seen: Seen,
    attempts_left: usize,
    cancel: Cancel,
}

impl<const C: usize, E: Equilibrium<C>> Plant<C, E> {
    /// A charged still, cold, heater off, take-off closed.
    pub(crate) fn new(
        charged: Charged<C, E>,
        pace: Pace,
        cancel: Cancel,
    ) -> Result<Self, StillError> {
        let Charged { equilibrium, apparatus, charge_mol, start_k } = charged;
        let start = StartUp::new(&equilibrium, &apparatus, &charge_mol)?;
        let stages = apparatus.stages;
        let state = Self::filled(&start, stages);
        let total: f64 = charge_mol.iter().sum();
        let absolute = (0..state.len()).map(|i| {
            let share = pace.rtol * charge_mol[i % C];
            if i / C == 0 || i / C == stages + 2 { share } else { share / total }
        });
        let integrator = Rosenbrock::new(pace.rtol, absolute.collect(), pace.first_step_s)
            .with_change_limit(setup::change_limits::<C>(stages));
        let column = Column::new(equilibrium, apparatus, &state).map_err(StillError::at(0.0))?;
        Ok(Self {
            column,
            integrator,
            charge_mol,
            time_s: 0.0,
            phase: Phase::Cold,
            marks: Marks::default(),
            cold: Cold { pot_k: start_k, boils: false, taken_j: 0.0 },
            pot_k: start_k,
            boil_k: start.boil_k,
            stuck: false,
            floor: (0.0, DRY_SHARE - UNDER_FLOOR.1),
            dry: false,
            pace,
            fresh: false,
            stretch: Stretch::none(),
            seen: Seen {
                state: state.clone(),
                time_s: 0.0,
                pot_k: start_k,
                phase: Phase::Cold,
                hot: false,
                boils: false,
            },
            attempts_left: ATTEMPTS_MAX,
            cancel,
            start,
            state,
        })
    }

    fn filled(start: &StartUp<C>, stages: usize) -> Vec<f64> {
        let mut state = start.pot_mol.to_vec();
        for _ in 0..=stages {
            state.extend_from_slice(&start.fill);
        }
        state.extend_from_slice(&[0.0; C]);
        state
    }

    /// What it takes to bring the charge up.
    pub(crate) const fn start_up(&self) -> &StartUp<C> {
        &self.start
    }

    /// Nothing is boiled under so many litres in the pot.
    pub(crate) fn set_floor_litres(&mut self, litres: f64) {
        self.floor.0 = litres - UNDER_FLOOR.0;
    }

    /// Gives the next stretch of a reckoning its whole allowance of integrator steps.
    pub(crate) fn allow_anew(&mut self) {
        self.attempts_left = ATTEMPTS_MAX;
    }

    /// Begins at `time_s` with the column hot and nothing filled.
    pub(crate) fn vapour_came(&mut self, time_s: f64) {
        self.time_s = time_s;
        self.cold = Cold { pot_k: self.start.boil_k, boils: true, taken_j: self.start.metal_j };
    }

    /// Sets heater and take-off; a large change begins the integrator anew. A rate is what reaches
    /// the receiver.
    pub(crate) fn set(&mut self, heater_w: f64, draw: Draw) {
        let kept = 1.0 - self.column.apparatus.vapour_lost;
        let draw = if let Draw::Rate(rate) = draw { Draw::Rate(rate / kept) } else { draw };
        self.settle(heater_w, draw);
    }

    /// Sets heater and what leaves the drum.
    fn settle(&mut self, heater_w: f64, draw: Draw) {
        let share = self.pace.small_change;
        let near = |a: f64, b: f64| (a - b).abs() <= share * a.abs().max(b.abs());
        let small = near(self.column.heater_w, heater_w)
            && match (self.column.draw, draw) {
                (Draw::Closed, Draw::Closed) => true,
                (Draw::Ratio(a), Draw::Ratio(b)) => near(a + 1.0, b + 1.0),
                (Draw::Rate(a), Draw::Rate(b)) | (Draw::Duty(a), Draw::Duty(b)) => near(a, b),
                _ => false,
            };
        self.column.heater_w = heater_w;
        self.column.draw = draw;
        self.fresh = false;
        self.stuck = false;
        if !small || share == 0.0 {
            self.integrator.restart(self.pace.first_step_s);
        }
    }

    /// Sets the pressure in the drum, Pa. Moles stay where they are; before the column is full its
    /// start is reckoned anew.
    pub(crate) fn set_pressure_pa(&mut self, pressure_pa: f64) -> Result<(), StillError>
    where
        E: Clone,
    {
        let mut apparatus = self.column.apparatus.clone();
        apparatus.top_pressure_pa = pressure_pa;
        let equilibrium = self.column.equilibrium().clone();
        if self.phase == Phase::Cold {
            self.start = StartUp::new(&equilibrium, &apparatus, &self.charge_mol)?;
            self.state = Self::filled(&self.start, apparatus.stages);
        }
        let (heater_w, draw) = (self.column.heater_w, self.column.draw);
        self.column = Column::new(equilibrium, apparatus, &self.state)
            .map_err(StillError::at(self.time_s))?;
        self.settle(heater_w, draw);
        self.integrator.restart(self.pace.first_step_s);
        if self.phase == Phase::Resting {
            self.evaluate()?;
            self.boil_k = self.column.nodes()[0].temperature_k;
        }
        Ok(())
    }

    /// Evaluates the column at the present state, where that is not done.
    pub(crate) fn evaluate(&mut self) -> Result<(), StillError> {
        if !self.fresh {
            self.column.evaluate(&self.state).map_err(StillError::at(self.time_s))?;
            self.fresh = true;
        }
        Ok(())
    }

    /// Heat that is not lost through the boiler's wall at that temperature, W.
    fn net_w(&self, pot_k: f64) -> f64 {
        let apparatus = &self.column.apparatus;
        self.column.heater_w - apparatus.boiler_loss_w_k * (pot_k - apparatus.ambient_k)
    }

    /// Vapour that reaches the top by the column's last evaluation, mol/s; zero or less where it
    /// counts as none.
    fn top_vapour(&self) -> f64 {
        let vapour = &self.column.flows().vapour;
        let rising = vapour[self.column.apparatus.stages] - VAPOUR_SHARE * vapour[0].max(0.0);
        let spare_w = self.net_w(self.column.nodes()[0].temperature_k) - BOILING_W;
        rising.min(spare_w / LATENT_J_MOL)
    }

    /// Whether it rests and never runs again as it is set.
    pub(crate) fn is_spent(&self) -> bool {
        self.phase == Phase::Resting && !self.comes_back()
    }

    /// Whether nothing ran in the last stretch although the column is full.
    pub(crate) fn rested(&self) -> bool {
        self.stretch.phase == Phase::Resting
    }

    /// Whether the pot is down to its floor.
    pub(crate) const fn is_dry(&self) -> bool {
        self.dry
    }

    /// How far the pot of a state is over its floor, litres or moles: negative below.
    fn over_floor(&self, state: &[f64]) -> f64 {
        let pot: &[f64; C] = &state.as_chunks().0[0];
        let charged: f64 = self.charge_mol.iter().sum();
        let moles = pot.iter().sum::<f64>() / charged - self.floor.1;
        if self.floor.0 <= 0.0 {
            return moles;
        }
        moles.min(Fraction::of(pot).litres_20c - self.floor.0)
    }
}
