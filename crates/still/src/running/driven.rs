//! The driven still for one size of mixture: phases, integration, what it shows.

use alcoholometry::kernel;
use numerics::rosenbrock::Rosenbrock;
use thermo::Mixture;

use super::phase::Phase;
use super::{Drive, RunningState};
use crate::column::{Apparatus, Column, Draw};
use crate::error::StillError;
use crate::forecast::Fraction;
use crate::heat_up::HeatUp;
use crate::plan::{RunPlan, TakeOff};
use crate::setup::{self, ChargeMoles, ICE_POINT_K};

/// Longest explicit step while nothing boils, s.
const WARM_STEP_S: f64 = 5.0;
/// First integrator step after a change, s.
const FIRST_STEP_S: f64 = 1.0;
/// Tolerance of the integration.
const RTOL: f64 = 1e-3;
/// How fast a head without vapour falls back to ambient, s, and how fast it comes back.
const HEAD_COOLING_S: f64 = 240.0;
const HEAD_WARMING_S: f64 = 30.0;
/// Least net heat that counts as boiling, W.
const BOILING_W: f64 = 5.0;
/// Less of the pot's vapour than this share at the top is none.
const VAPOUR_SHARE: f64 = 1e-3;
/// Integrator steps allowed per call.
const STEPS_MAX: usize = 200_000;
/// Heat capacity of a litre of water near 40 °C, J/K.
const WATER_J_PER_L_K: f64 = 4150.0;
/// A pot with this share of its charge's moles left is dry.
const DRY_SHARE: f64 = 0.01;

/// A driven still of mixtures of `C` places.
pub(super) struct Driven<const C: usize> {
    mixture: Mixture<C>,
    apparatus: Apparatus,
    charge_mol: [f64; C],
    /// Computed at the boil: what fills the column.
    heat_up: HeatUp<C>,
    column: Option<Column<C, Mixture<C>>>,
    integrator: Rosenbrock,
    state: Vec<f64>,
    time_s: f64,
    phase: Phase,
    pot_k: f64,
    head_k: f64,
    heater_w: f64,
    draw: Draw,
    coolant_in_c: f64,
    coolant_l_per_min: f64,
    element_cover_l: f64,
    dry: bool,
}

impl<const C: usize> Driven<C> {
    pub(super) fn new(
        plan: &RunPlan,
        charge: &ChargeMoles,
        mixture: Mixture<C>,
    ) -> Result<Self, StillError> {
        let apparatus = setup::apparatus(plan, None);
        let charge_mol = charge.padded::<C>();
        let pot_k = plan.charge.temperature_c + ICE_POINT_K;
        let heat_up = HeatUp::new(&mixture, &apparatus, &charge_mol, pot_k, plan.step_watts(0))?;
        let mut state = heat_up.pot_mol.to_vec();
        for _ in 0..=apparatus.stages {
            state.extend_from_slice(&heat_up.fill);
        }
        state.extend_from_slice(&[0.0; C]);
        let total: f64 = charge_mol.iter().sum();
        let last = apparatus.stages + 2;
        let absolute = (0..state.len()).map(|i| {
            let share = RTOL * charge_mol[i % C];
            if i / C == 0 || i / C == last { share } else { share / total }
        });
        Ok(Self {
            integrator: Rosenbrock::new(RTOL, absolute.collect(), FIRST_STEP_S)
                .with_change_limit(setup::change_limits::<C>(apparatus.stages)),
            head_k: apparatus.ambient_k,
            coolant_in_c: plan.site.coolant_in_c,
            element_cover_l: plan.still.element_cover_litres,
            mixture,
            apparatus,
            charge_mol,
            heat_up,
            column: None,
            state,
            time_s: 0.0,
            phase: Phase::Heating,
            pot_k,
            heater_w: 0.0,
            draw: Draw::Closed,
            coolant_l_per_min: 0.0,
            dry: false,
        })
    }

    /// Heat that is not lost through the boiler's wall, W.
    fn net_w(&self) -> f64 {
        self.heater_w - self.apparatus.boiler_loss_w_k * (self.pot_k - self.apparatus.ambient_k)
    }

    fn pot_mol(&self) -> [f64; C] {
        if self.column.is_some() { self.state.as_chunks().0[0] } else { self.charge_mol }
    }

    /// Warms or cools liquid and metal of the pot for `step_s`; boiling is not passed.
    fn warm(&mut self, step_s: f64, boil_k: f64) -> f64 {
        let cp = std::array::from_fn::<f64, C, _>(|i| {
            self.mixture.pure(i).heat_capacity_liquid(self.pot_k)
        });
        let moles = self.pot_mol();
        let capacity =
            self.apparatus.boiler_metal_j_k + (0..C).map(|i| moles[i] * cp[i]).sum::<f64>();
        let rate = self.net_w() / capacity;
        let to_boil_s = if rate > 0.0 { (boil_k - self.pot_k) / rate } else { f64::INFINITY };
        if to_boil_s <= step_s {
            self.pot_k = boil_k;
            return to_boil_s.max(0.0);
        }
        self.pot_k += rate * step_s;
        step_s
    }

    /// The head without vapour falls towards ambient; with vapour it comes up to `target_k`.
    fn move_head(&mut self, step_s: f64, target_k: f64, time_constant_s: f64) {
        let kept = (-step_s / time_constant_s).exp();
        self.head_k = target_k + (self.head_k - target_k) * kept;
    }

    fn advance_cold(&mut self, step_s: f64) -> Result<(), StillError> {
        let ambient_k = self.apparatus.ambient_k;
        match self.phase {
            Phase::Heating => {
                let used = self.warm(step_s, self.heat_up.boil_k);
                self.move_head(used, ambient_k, HEAD_COOLING_S);
                self.time_s += used;
                if self.pot_k >= self.heat_up.boil_k && self.net_w() > 0.0 {
                    self.phase = Phase::Filling { taken_j: 0.0 };
                }
            }
            Phase::Filling { taken_j } => self.fill(step_s, taken_j)?,
            Phase::Resting => {
                let boil_k = self.boil_k();
                let used = self.warm(step_s, boil_k);
                self.move_head(used, ambient_k, HEAD_COOLING_S);
                self.time_s += used;
                if self.pot_k >= boil_k && self.has_heat()? {
                    self.phase = Phase::Running;
                    self.integrator.restart(FIRST_STEP_S);
                }
            }
            Phase::Running => {}
        }
        Ok(())
    }

    /// The boiling point of what is in the pot now, K.
    fn boil_k(&self) -> f64 {
        self.column.as_ref().map_or(self.heat_up.boil_k, |column| column.nodes()[0].temperature_k)
    }

    /// Column metal, then hold-up, take up the net heat.
    fn fill(&mut self, step_s: f64, taken_j: f64) -> Result<(), StillError> {
        let net_w = self.net_w();
        if net_w <= 0.0 {
            self.phase = Phase::Heating;
            return Ok(());
        }
        let planned_w = self.heat_up.net_w_at_boil();
        let whole_j = (self.heat_up.ready_s - self.heat_up.boil_s) * planned_w;
        let metal_j = (self.heat_up.head_jump_s - self.heat_up.boil_s) * planned_w;
        let left_s = (whole_j - taken_j).max(0.0) / net_w;
        let used = step_s.min(left_s);
        let taken_j = taken_j + net_w * used;
        if taken_j >= metal_j {
            self.head_k = self.heat_up.head_jump_k;
        }
        self.time_s += used;
        self.phase = Phase::Filling { taken_j };
        if left_s <= step_s {
            self.start_column()?;
        }
        Ok(())
    }

    fn start_column(&mut self) -> Result<(), StillError> {
        let at = StillError::at(self.time_s);
        let mut column =
            Column::new(self.mixture.clone(), self.apparatus.clone(), &self.state).map_err(&at)?;
        column.heater_w = self.heater_w;
        column.draw = self.draw;
        column.evaluate(&self.state).map_err(at)?;
        self.column = Some(column);
        self.phase = Phase::Running;
        self.integrator.restart(FIRST_STEP_S);
        Ok(())
    }

    /// Integrates the running column up to `time_s`, or to where the vapour ends.
    fn advance_running(&mut self, time_s: f64) -> Result<(), StillError> {
        let Some(column) = self.column.as_mut() else { return Ok(()) };
        let stages = self.apparatus.stages;
        let begin = self.integrator.accepted;
        let from = self.time_s;
        while self.time_s < time_s {
            let reached = self
                .integrator
                .advance(column, self.time_s, time_s, &mut self.state)
                .map_err(|error| StillError::Integrator {
                    time_s: self.time_s,
                    steps: self.integrator.accepted,
                    why: error.to_string(),
                })?;
            self.time_s = reached;
            column.evaluate(&self.state).map_err(StillError::at(reached))?;
            let weak = !rises(column, stages);
            let pot = Fraction::of(&self.state.as_chunks::<C>().0[0]);
            let moles: f64 = self.state[..C].iter().sum();
            let charged: f64 = self.charge_mol.iter().sum();
            self.dry = pot.litres_20c <= self.element_cover_l || moles <= DRY_SHARE * charged;
            if weak || self.dry || self.integrator.accepted - begin > STEPS_MAX {
                self.phase = Phase::Resting;
                break;
            }
        }
        self.pot_k = column.nodes()[0].temperature_k;
        let target_k = column.head_k().map_err(StillError::at(self.time_s))?;
        let passed = self.time_s - from;
        // A head that was already hot follows its vapour at once; a cold one needs its metal.
        if (self.head_k - target_k).abs() < 5.0 {
            self.head_k = target_k;
        } else {
            self.move_head(passed, target_k, HEAD_WARMING_S);
        }
        Ok(())
    }

    /// Whether what is set now can keep the column boiling up to its top: a column may lose all
    /// the vapour that a weak heater makes.
    fn has_heat(&mut self) -> Result<bool, StillError> {
        if self.net_w() <= BOILING_W || self.dry {
            return Ok(false);
        }
        let Some(column) = self.column.as_mut() else { return Ok(true) };
        column.evaluate(&self.state).map_err(StillError::at(self.time_s))?;
        Ok(rises(column, self.apparatus.stages))
    }
}

/// Whether vapour leaves the top stage.
fn rises<const C: usize>(column: &Column<C, Mixture<C>>, stages: usize) -> bool {
    let vapour = &column.flows().vapour;
    vapour[stages] > VAPOUR_SHARE * vapour[0].max(0.0)
}

impl<const C: usize> Drive for Driven<C> {
    fn set_heater_watts(&mut self, watts: f64) {
        self.heater_w = watts;
        if let Some(column) = self.column.as_mut() {
            column.heater_w = watts;
        }
        self.integrator.restart(FIRST_STEP_S);
    }

    fn set_take_off(&mut self, take_off: TakeOff) {
        self.draw = match take_off {
            TakeOff::Closed => Draw::Closed,
            TakeOff::RefluxRatio(ratio) => Draw::Ratio(ratio),
            TakeOff::MlPerMin(rate) if rate <= 0.0 => Draw::Closed,
            TakeOff::MlPerMin(rate) => Draw::Rate(rate / 60_000.0),
        };
        if let Some(column) = self.column.as_mut() {
            column.draw = self.draw;
        }
        self.integrator.restart(FIRST_STEP_S);
    }

    fn set_coolant_l_per_min(&mut self, flow: f64) {
        self.coolant_l_per_min = flow;
    }

    fn set_pressure_hpa(&mut self, pressure_hpa: f64) -> Result<(), StillError> {
        self.apparatus.top_pressure_pa = 100.0 * pressure_hpa;
        if self.column.is_some() {
            let phase = self.phase;
            self.start_column()?;
            self.phase = phase;
        }
        Ok(())
    }

    fn advance_to(&mut self, time_s: f64) -> Result<(), StillError> {
        while self.time_s < time_s {
            if self.phase == Phase::Running {
                if self.has_heat()? {
                    self.advance_running(time_s)?;
                } else {
                    self.phase = Phase::Resting;
                }
                continue;
            }
            let before = (self.time_s, self.phase);
            self.advance_cold((time_s - self.time_s).min(WARM_STEP_S))?;
            if (self.time_s, self.phase) == before {
                // Nothing boils off (as at the boil with no heat to spare): the head cools.
                let reached_s = (self.time_s + WARM_STEP_S).min(time_s);
                self.move_head(reached_s - self.time_s, self.apparatus.ambient_k, HEAD_COOLING_S);
                self.time_s = reached_s;
            }
        }
        Ok(())
    }

    fn state(&mut self) -> Result<RunningState, StillError> {
        let n = self.apparatus.stages;
        let running = self.phase == Phase::Running;
        if let Some(column) = self.column.as_mut() {
            column.evaluate(&self.state).map_err(StillError::at(self.time_s))?;
        }
        let rows: &[[f64; C]] = self.state.as_chunks().0;
        let column = self.column.as_ref();
        let flows = column.filter(|_| running).map(Column::flows);
        let strength = |x: &[f64; C]| kernel::strength_percent_20c(x[1], x[0]);
        let (pot, drawn) = (Fraction::of(&self.pot_mol()), Fraction::of(&rows[n + 2]));
        let molar_l = kernel::litres_20c(rows[n + 1][1], rows[n + 1][0]);
        let duty_w = column
            .zip(flows)
            .map_or(0.0, |(column, flows)| flows.vapour[n] * column.nodes()[n].latent.0);
        let rise_k = duty_w * 60.0 / (self.coolant_l_per_min.max(1e-6) * WATER_J_PER_L_K);
        let head_c = self.head_k - ICE_POINT_K;
        let coolant_out_c = (self.coolant_in_c + rise_k).min(head_c.max(self.coolant_in_c));
        Ok(RunningState {
            time_s: self.time_s,
            head_c,
            pot_c: self.pot_k - ICE_POINT_K,
            drum_vol: column.map(|_| strength(&rows[n + 1])),
            collected_l: drawn.litres_20c,
            pure_alcohol_l: drawn.pure_alcohol_l,
            takeoff_ml_per_min: flows.map_or(0.0, |flows| flows.draw * molar_l * 60_000.0),
            v0_mol_s: flows.map_or(0.0, |flows| flows.vapour[0]),
            vn_mol_s: flows.map_or(0.0, |flows| flows.vapour[n]),
            pot_l: pot.litres_20c,
            pot_vol: pot.strength_vol.unwrap_or(0.0),
            stages_vol: column.map_or(vec![], |_| rows[1..=n].iter().map(strength).collect()),
            boiling: running || matches!(self.phase, Phase::Filling { .. }),
            ready: column.is_some(),
            coolant_out_c,
            heater_w: self.heater_w,
            pressure_hpa: self.apparatus.top_pressure_pa / 100.0,
            dry: self.dry,
        })
    }
}
