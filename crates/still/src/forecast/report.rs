//! Sums, balances and warnings of a finished run.

use super::runner::Runner;
use super::warnings;
use crate::equilibrium::Equilibrium;
use crate::fraction::{Fraction, congeners_mg};
use crate::outcome::{Effort, Forecast, Totals};
use crate::plant::Plant;
use crate::setup::ICE_POINT_K;

/// Joules in a kilowatt hour (definition).
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
    /// Looks at the plant after an evaluation of its present.
    pub(super) fn look<const C: usize, E: Equilibrium<C>>(&mut self, plant: &Plant<C, E>) {
        if !plant.runs() {
            return;
        }
        let n = plant.stages();
        let (nodes, flows) = (plant.column.nodes(), plant.column.flows());
        let subcooling = nodes[n + 1].cp.0 * (nodes[n].temperature_k - nodes[n + 1].temperature_k);
        let duty = flows.vapour[n] * (nodes[n].latent.0 + subcooling.max(0.0));
        self.condenser_w = self.condenser_w.max(duty);
        let rate = plant.takeoff_ml_per_min();
        self.takeoff_ml_per_min = self.takeoff_ml_per_min.max(rate);
        if flows.limited {
            self.limited_ml_per_min = Some(self.limited_ml_per_min.map_or(rate, |r| r.min(rate)));
        }
    }
}

/// The forecast of a finished run.
pub(super) fn assemble<const C: usize, E: Equilibrium<C>>(runner: Runner<'_, C, E>) -> Forecast {
    let Runner { plan, components, plant, walk, energy_j, steps, ended_by, record } = runner;
    let drawn = Fraction::of(plant.drawn_mol());
    let left = Fraction::of(plant.pot_mol());
    let end_s = plant.time_s;
    let mark = |mark: Option<f64>| mark.unwrap_or(end_s);
    let boil_s = mark(plant.marks.boil_s);
    let totals = Totals {
        litres_20c: drawn.litres_20c,
        strength_vol: drawn.strength_vol,
        pure_alcohol_l: drawn.pure_alcohol_l,
        left_in_pot_l: left.litres_20c,
        left_in_pot_vol: left.strength_vol.unwrap_or(0.0),
        energy_kwh: energy_j / J_PER_KWH,
        coolant_l: plan.site.coolant_l_per_min * (end_s - boil_s) / 60.0,
        congeners_mg: congeners_mg(&components, plant.drawn_mol()).collect(),
    };
    let mut forecast = Forecast {
        boil_s,
        head_jump_s: mark(plant.marks.head_jump_s),
        ready_s: mark(plant.marks.ready_s),
        plateau_c: walk.plateau().plateau().map(|k| k - ICE_POINT_K),
        end_s,
        ended_by,
        totals,
        balance: plant.balance(),
        warnings: Vec::new(),
        effort: Effort {
            steps: plant.integrator.accepted,
            rejected: plant.integrator.rejected,
            derivative_calls: plant.integrator.derivative_calls,
        },
        components,
        steps,
        rows: record.rows,
    };
    forecast.warnings = warnings::of(plan, &forecast, &record.peaks);
    forecast
}
