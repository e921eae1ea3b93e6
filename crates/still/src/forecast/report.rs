//! Sums, balances and warnings of a finished run.

use super::runner::Runner;
use super::warnings;
use crate::equilibrium::Equilibrium;
use crate::fraction::{Fraction, congeners_mg};
use crate::outcome::{Effort, Forecast, Totals};
use crate::setup::ICE_POINT_K;

/// Joules in a kilowatt hour (definition).
const J_PER_KWH: f64 = 3.6e6;

/// The forecast of a finished run.
pub(super) fn assemble<const C: usize, E: Equilibrium<C>>(runner: Runner<'_, C, E>) -> Forecast {
    let Runner { plan, components, plant, walk, energy_j, steps, ended_by, record } = runner;
    let drawn = Fraction::of(&plant.drawn_mol());
    let left = Fraction::of(plant.pot_mol());
    let end_s = plant.time_s;
    let mark = |mark: Option<f64>| mark.unwrap_or(end_s);
    let boil_s = mark(plant.marks.boil_s);
    let totals = Totals {
        litres_20c: drawn.litres_20c,
        strength_vol: drawn.strength_vol,
        pure_alcohol_l: drawn.pure_alcohol_l,
        left_in_pot_l: left.litres_20c,
        left_in_pot_vol: left.strength(),
        energy_kwh: energy_j / J_PER_KWH,
        coolant_l: plan.site.coolant_l_per_min * (end_s - boil_s) / 60.0,
        congeners_mg: congeners_mg(&components, &plant.drawn_mol()).collect(),
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
