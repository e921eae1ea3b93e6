//! One row a minute: what the run would show at that moment.

use alcoholometry::kernel;
use thermo::Component;

use crate::equilibrium::Equilibrium;
use crate::fraction::{Fraction, congeners_mg};
use crate::outcome::Row;
use crate::plant::Plant;
use crate::setup::ICE_POINT_K;

/// A row of the plant as it was last looked at; a head without vapour stands at ambient.
pub(super) fn row<const C: usize, E: Equilibrium<C>>(
    plant: &Plant<C, E>,
    components: &[Component],
    time_s: f64,
    head_k: Option<f64>,
) -> Row {
    let pot = plant.pot_mol();
    let drawn = Fraction::of(&plant.drawn_mol());
    let strength = |x: &[f64; C]| kernel::strength_percent_20c(x[1], x[0]);
    let full = plant.is_full();
    let stages = if full { 0..plant.stages() } else { 0..0 };
    let stages_vol: Vec<f64> = stages.map(|stage| strength(plant.stage(stage))).collect();
    let top = stages_vol.last().copied().unwrap_or_else(|| strength(pot));
    let (v0_mol_s, vn_mol_s) = plant.vapours();
    Row {
        time_s,
        head_c: head_k.unwrap_or(plant.column.apparatus.ambient_k) - ICE_POINT_K,
        pot_c: plant.pot_c(),
        top_stage_vol: full.then_some(top),
        distillate_vol: full.then(|| plant.drum_vol()),
        collected_l: drawn.litres_20c,
        pure_alcohol_l: drawn.pure_alcohol_l,
        v0_mol_s,
        vn_mol_s,
        pot_x_ethanol: pot[1] / pot.iter().sum::<f64>(),
        pot_l: Fraction::of(pot).litres_20c,
        takeoff_ml_per_min: plant.takeoff_ml_per_min(),
        congeners_mg: congeners_mg(components, &plant.drawn_mol()).map(|(_, mg)| mg).collect(),
        stages_vol,
    }
}
