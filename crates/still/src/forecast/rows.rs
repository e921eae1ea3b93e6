//! One row a minute: what the run would show at that moment.

use alcoholometry::kernel;
use thermo::Component;

use super::fraction::{Fraction, congeners_mg};
use crate::column::Column;
use crate::equilibrium::Equilibrium;
use crate::heat_up::HeatUp;
use crate::outcome::Row;
use crate::setup::ICE_POINT_K;

/// Drawn litres a second times this are mL/min.
pub(crate) const ML_PER_MIN: f64 = 60_000.0;

/// A row during the heat-up: nothing boils over yet.
pub(super) fn heating_row<const C: usize>(
    heat_up: &HeatUp<C>,
    components: &[Component],
    charge_mol: &[f64; C],
    time_s: f64,
) -> Row {
    Row {
        time_s,
        head_c: heat_up.head_k(time_s) - ICE_POINT_K,
        pot_c: heat_up.pot_k(time_s) - ICE_POINT_K,
        top_stage_vol: None,
        distillate_vol: None,
        collected_l: 0.0,
        pure_alcohol_l: 0.0,
        v0_mol_s: 0.0,
        vn_mol_s: 0.0,
        pot_x_ethanol: charge_mol[1] / charge_mol.iter().sum::<f64>(),
        pot_l: Fraction::of(charge_mol).litres_20c,
        takeoff_ml_per_min: 0.0,
        congeners_mg: vec![0.0; components.len() - 2],
        stages_vol: Vec::new(),
    }
}

/// A row of the running column, whose last evaluation was of `state`.
pub(super) fn running_row<const C: usize, E: Equilibrium<C>>(
    column: &Column<C, E>,
    components: &[Component],
    state: &[f64],
    time_s: f64,
    head_k: f64,
) -> Row {
    let rows: &[[f64; C]] = state.as_chunks().0;
    let n = column.apparatus.stages;
    let flows = column.flows();
    let drawn = Fraction::of(&rows[n + 2]);
    let strength = |x: &[f64; C]| kernel::strength_percent_20c(x[1], x[0]);
    let stages_vol: Vec<f64> = rows[1..=n].iter().map(strength).collect();
    Row {
        time_s,
        head_c: head_k - ICE_POINT_K,
        pot_c: column.nodes()[0].temperature_k - ICE_POINT_K,
        top_stage_vol: Some(stages_vol.last().copied().unwrap_or_else(|| strength(&rows[0]))),
        distillate_vol: Some(strength(&rows[n + 1])),
        collected_l: drawn.litres_20c,
        pure_alcohol_l: drawn.pure_alcohol_l,
        v0_mol_s: flows.vapour[0],
        vn_mol_s: flows.vapour[n],
        pot_x_ethanol: rows[0][1] / rows[0].iter().sum::<f64>(),
        pot_l: Fraction::of(&rows[0]).litres_20c,
        takeoff_ml_per_min: flows.draw
            * kernel::litres_20c(rows[n + 1][1], rows[n + 1][0])
            * ML_PER_MIN,
        congeners_mg: congeners_mg(components, &rows[n + 2]).map(|(_, mg)| mg).collect(),
        stages_vol,
    }
}
