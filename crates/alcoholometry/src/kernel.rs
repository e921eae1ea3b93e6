//! Raw SI functions for inner loops: no checks, no results, no newtypes.
//!
//! Mass and volume fractions lie in 0..1, temperatures in °C, amounts in mol. Outside the range of
//! the formula the polynomial goes on smoothly but means nothing; the doors of this crate check.

use crate::density::{ETHANOL_DENSITY_20C_KG_M3, Isotherm};
use crate::inverse;

/// Molar mass of ethanol, g/mol (IUPAC atomic weights).
pub const ETHANOL_MOLAR_MASS_G_MOL: f64 = 46.06844;
/// Molar mass of water, g/mol (IUPAC atomic weights).
pub const WATER_MOLAR_MASS_G_MOL: f64 = 18.01528;

/// Density in kg/m³ of a mass fraction of ethanol at a temperature in °C (OIML R 22).
#[must_use]
pub fn density_kg_m3(mass_fraction: f64, celsius: f64) -> f64 {
    Isotherm::at(celsius).density_kg_m3(mass_fraction)
}

/// Mass fraction of a volume fraction at 20 °C (0..=1, clamped), exact to rounding.
#[must_use]
pub fn mass_fraction_from_vol20(fraction: f64) -> f64 {
    inverse::mass_fraction_from_vol20_exact(fraction)
}

/// Volume fraction at 20 °C of a mass fraction.
#[must_use]
pub fn vol20_from_mass_fraction(p: f64) -> f64 {
    inverse::volume_fraction_and_slope(p).0
}

/// Mass fraction of a mole fraction of ethanol.
#[must_use]
pub fn mass_fraction_from_mole_fraction(x: f64) -> f64 {
    let ethanol = x * ETHANOL_MOLAR_MASS_G_MOL;
    ethanol / (ethanol + (1.0 - x) * WATER_MOLAR_MASS_G_MOL)
}

/// Mole fraction of a mass fraction of ethanol.
#[must_use]
pub fn mole_fraction_from_mass_fraction(p: f64) -> f64 {
    let ethanol = p / ETHANOL_MOLAR_MASS_G_MOL;
    ethanol / (ethanol + (1.0 - p) / WATER_MOLAR_MASS_G_MOL)
}

/// Litres at 20 °C of so many moles of ethanol and water; 0 for nothing.
#[must_use]
pub fn litres_20c(ethanol_mol: f64, water_mol: f64) -> f64 {
    litres_20c_gradient(ethanol_mol, water_mol).0
}

/// Strength in % vol at 20 °C of so many moles of ethanol and water; 0 for nothing.
#[must_use]
pub fn strength_percent_20c(ethanol_mol: f64, water_mol: f64) -> f64 {
    let ethanol_g = ethanol_mol * ETHANOL_MOLAR_MASS_G_MOL;
    let mass_g = ethanol_g + water_mol * WATER_MOLAR_MASS_G_MOL;
    if mass_g > 0.0 { 100.0 * vol20_from_mass_fraction(ethanol_g / mass_g) } else { 0.0 }
}

/// Litres at 20 °C and the derivatives by moles of ethanol and of water (partial molar volumes,
/// L/mol). For nothing: 0 L and the molar volumes of the pure liquids.
#[must_use]
pub fn litres_20c_gradient(ethanol_mol: f64, water_mol: f64) -> (f64, f64, f64) {
    let ethanol_g = ethanol_mol * ETHANOL_MOLAR_MASS_G_MOL;
    let mass_g = ethanol_g + water_mol * WATER_MOLAR_MASS_G_MOL;
    if mass_g <= 0.0 {
        let water = WATER_MOLAR_MASS_G_MOL / Isotherm::AT_20C.density_kg_m3(0.0);
        return (0.0, ETHANOL_MOLAR_MASS_G_MOL / ETHANOL_DENSITY_20C_KG_M3, water);
    }
    let p = ethanol_g / mass_g;
    let (density, slope) = Isotherm::AT_20C.density_and_slope(p);
    // V = m / rho(p); dp/dn of ethanol is M (1 - p) / m, of water -M p / m.
    let bend = slope / density;
    let by_ethanol = ETHANOL_MOLAR_MASS_G_MOL / density * (1.0 - bend * (1.0 - p));
    let by_water = WATER_MOLAR_MASS_G_MOL / density * (1.0 + bend * p);
    (mass_g / density, by_ethanol, by_water)
}

#[cfg(test)]
mod tests {
    use super::{litres_20c, litres_20c_gradient, strength_percent_20c};

    #[test]
    fn prop_volume_is_the_sum_of_amounts_times_partial_molar_volumes() {
        // Euler's theorem for a quantity that grows with the amounts.
        for (e, w) in [(0.0, 3.0), (1.0, 9.0), (5.0, 5.0), (17.0, 1.0), (2.0, 0.0)] {
            let (litres, by_ethanol, by_water) = litres_20c_gradient(e, w);
            assert!((litres - e * by_ethanol - w * by_water).abs() < 1e-12 * litres.max(1.0));
        }
    }

    #[test]
    fn prop_gradient_agrees_with_differences() {
        let h = 1e-5;
        for (e, w) in [(0.2, 3.0), (1.0, 9.0), (5.0, 5.0), (17.0, 1.0)] {
            let (_, by_ethanol, by_water) = litres_20c_gradient(e, w);
            let de = (litres_20c(e + h, w) - litres_20c(e - h, w)) / (2.0 * h);
            let dw = (litres_20c(e, w + h) - litres_20c(e, w - h)) / (2.0 * h);
            assert!((by_ethanol - de).abs() < 1e-8 && (by_water - dw).abs() < 1e-8);
        }
    }

    #[test]
    fn val_pure_liquids_and_nothing() {
        // 46.06844 g of ethanol at 789.239 kg/m³ (OIML R 22) fill 58.371 mL.
        assert!((litres_20c(1.0, 0.0) - 0.058371).abs() < 1e-6);
        assert!((strength_percent_20c(3.0, 0.0) - 100.0).abs() < 1e-9);
        assert!(strength_percent_20c(0.0, 0.0).abs() < f64::EPSILON);
        assert!(litres_20c(0.0, 0.0).abs() < f64::EPSILON);
    }
}
