//! Litres and % vol of so many moles, by the product's alcoholometry: the units truth is told in.

use alcoholometry::kernel;

/// Moles of ethanol and water in so many litres (20 °C) of that strength, % vol.
pub(super) fn mol_of(litres: f64, vol: f64) -> [f64; 2] {
    let p = kernel::mass_fraction_from_vol20(vol / 100.0);
    let grams = litres * kernel::density_kg_m3(p, 20.0);
    [
        grams * p / kernel::ETHANOL_MOLAR_MASS_G_MOL,
        grams * (1.0 - p) / kernel::WATER_MOLAR_MASS_G_MOL,
    ]
}

/// Litres at 20 °C.
pub(super) fn litres(mol: [f64; 2]) -> f64 {
    kernel::litres_20c(mol[0], mol[1])
}

/// Strength, % vol.
pub(super) fn vol(mol: [f64; 2]) -> f64 {
    kernel::strength_percent_20c(mol[0], mol[1])
}

/// Strength of a mole fraction of ethanol, % vol.
pub(super) fn vol_of_x(x: f64) -> f64 {
    vol([x, 1.0 - x])
}

/// What was added between two amounts.
pub(super) fn between(before: [f64; 2], after: [f64; 2]) -> [f64; 2] {
    [after[0] - before[0], after[1] - before[1]]
}

/// Mole fraction of ethanol of a strength, % vol.
pub(super) fn mole_fraction(vol: f64) -> f64 {
    let [ethanol, water] = mol_of(1.0, vol);
    ethanol / (ethanol + water)
}
