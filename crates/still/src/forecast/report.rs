//! Sums, balances and warnings of a finished run.

use super::fraction::{Fraction, congeners_mg};
use super::runner::Runner;
use super::warnings;
use crate::column::Column;
use crate::equilibrium::Equilibrium;
use crate::outcome::{Balance, Effort, Forecast, Totals};
use crate::setup::ICE_POINT_K;

/// Joules in a kilowatt hour.
const J_PER_KWH: f64 = 3.6e6;

/// Largest values met on the way.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Peaks {
    /// Heat that the condenser takes up, W.
    pub(super) condenser_w: f64,
    /// Take-off, mol/s and mL/min.
    pub(super) takeoff_ml_per_min: f64,
    /// Whether a take-off rate was above the vapour, and by which vapour it was cut, mL/min.
    pub(super) limited_ml_per_min: Option<f64>,
}

impl Peaks {
    /// Looks at the column after an evaluation.
    pub(super) fn look<const C: usize, E: Equilibrium<C>>(&mut self, column: &Column<C, E>) {
        let n = column.apparatus.stages;
        let (nodes, flows) = (column.nodes(), column.flows());
        let subcooling = nodes[n + 1].cp.0 * (nodes[n].temperature_k - nodes[n + 1].temperature_k);
        let duty = flows.vapour[n] * (nodes[n].latent.0 + subcooling.max(0.0));
        self.condenser_w = self.condenser_w.max(duty);
        let drum = &nodes[n + 1].x;
        let rate = flows.draw
            * alcoholometry::kernel::litres_20c(drum[1], drum[0])
            * super::rows::ML_PER_MIN;
        self.takeoff_ml_per_min = self.takeoff_ml_per_min.max(rate);
        if flows.limited {
            self.limited_ml_per_min = Some(self.limited_ml_per_min.map_or(rate, |r| r.min(rate)));
        }
    }
}

/// The forecast of a finished run.
pub(super) fn assemble<const C: usize, E: Equilibrium<C>>(runner: Runner<'_, C, E>) -> Forecast {
    let n = runner.column.apparatus.stages;
    let rows: &[[f64; C]] = runner.state.as_chunks().0;
    let drawn = Fraction::of(&rows[n + 2]);
    let left = Fraction::of(&rows[0]);
    let flowing_min = (runner.time_s - runner.heat_up.boil_s) / 60.0;
    let totals = Totals {
        litres_20c: drawn.litres_20c,
        strength_vol: drawn.strength_vol,
        pure_alcohol_l: drawn.pure_alcohol_l,
        left_in_pot_l: left.litres_20c,
        left_in_pot_vol: left.strength_vol.unwrap_or(0.0),
        energy_kwh: runner.energy_j / J_PER_KWH,
        coolant_l: runner.plan.site.coolant_l_per_min * flowing_min,
        congeners_mg: congeners_mg(&runner.components, &rows[n + 2]).collect(),
    };
    let balance = balance(&runner);
    let plateau_k = runner.plateau.plateau();
    let mut forecast = Forecast {
        components: runner.components.clone(),
        boil_s: runner.heat_up.boil_s,
        head_jump_s: runner.heat_up.head_jump_s,
        ready_s: runner.heat_up.ready_s,
        plateau_c: plateau_k.map(|k| k - ICE_POINT_K),
        end_s: runner.time_s,
        ended_by: runner.ended_by,
        totals,
        balance,
        warnings: Vec::new(),
        effort: Effort {
            steps: runner.integrator.accepted,
            rejected: runner.integrator.rejected,
            derivative_calls: runner.integrator.derivative_calls,
        },
        steps: runner.steps,
        rows: runner.rows,
    };
    forecast.warnings = warnings::of(runner.plan, &forecast, &runner.peaks);
    forecast
}

/// (charge - pot - column - drum - receiver) / charge.
fn balance<const C: usize, E: Equilibrium<C>>(runner: &Runner<'_, C, E>) -> Balance {
    let apparatus = &runner.column.apparatus;
    let n = apparatus.stages;
    let rows: &[[f64; C]] = runner.state.as_chunks().0;
    let out = |i: usize| {
        let stages: f64 = rows[1..=n].iter().map(|x| x[i] * apparatus.stage_mol).sum();
        rows[0][i] + stages + rows[n + 1][i] * apparatus.drum_mol + rows[n + 2][i]
    };
    let charge = &runner.charge_mol;
    let all_in: f64 = charge.iter().sum();
    let all_out: f64 = (0..C).map(out).sum();
    let ethanol_rel = if charge[1] > 0.0 { (charge[1] - out(1)) / charge[1] } else { 0.0 };
    Balance { ethanol_rel, total_rel: (all_in - all_out) / all_in }
}
