//! Published tables of density, strength and specific gravity, every row within its tolerance.

use crate::support::rows;
use alcoholometry::density::SIXTY_FAHRENHEIT_C;
use alcoholometry::liquid::{Basis, LiquidInput, describe};
use alcoholometry::weighing::{BRASS_DENSITY_KG_M3, density_in_air_kg_m3};
use alcoholometry::{kernel, strength};

/// Density of water at 20 °C, kg/m³ (OIML R 22, coefficient A1).
const WATER_20C: f64 = 998.20123;

#[test]
fn xval_formula_evaluation() {
    // Computed from the same coefficients by another program in double precision.
    for row in rows(include_str!("../../reference/formula_evaluation.csv"), 133) {
        let found = kernel::density_kg_m3(row.number("mass_pct") / 100.0, row.number("t_c"));
        row.holds_within("density_kg_m3", found, 1e-6);
    }
}

#[test]
fn val_density_by_mass_and_temperature() {
    // NBS Circular 19 (Osborne, McKelvy, Bearce 1913) and Perry's Handbook, 7th ed.
    for row in rows(include_str!("../../reference/density_mass_temperature.csv"), 291) {
        let (mass, t) = (row.number("mass_pct"), row.number("t_c"));
        let found = describe(LiquidInput::exact(Basis::MassPercent(mass), t)).unwrap();
        row.holds("density_kg_m3", found.density_kg_m3, "tolerance_kg_m3");
    }
}

#[test]
fn val_density_by_volume_at_20c() {
    // A French reference article on alcohol strength and volume.
    for row in rows(include_str!("../../reference/density_vol_pct_20c.csv"), 113) {
        let vol = row.number("vol_pct_20c");
        let found = describe(LiquidInput::exact(Basis::Vol20Percent(vol), 20.0)).unwrap();
        row.holds("density_kg_m3", found.density_20c_kg_m3, "tolerance_kg_m3");
    }
}

#[test]
fn val_strength_and_specific_gravity_in_air_at_60f_and_25c() {
    // USP 29, alcoholometric table, from NBS Bulletin 9 (weighed with brass).
    for row in rows(include_str!("../../reference/strength_sg_60f.csv"), 44) {
        let p = if row.text("entry") == "mass" {
            row.number("mass_pct") / 100.0
        } else {
            let fraction = row.number("vol_pct_60f") / 100.0;
            strength::mass_fraction_from_vol(fraction, SIXTY_FAHRENHEIT_C).unwrap()
        };
        let gravity = |t: f64| {
            let in_air = |p| density_in_air_kg_m3(kernel::density_kg_m3(p, t), BRASS_DENSITY_KG_M3);
            in_air(p) / in_air(0.0)
        };
        row.holds("mass_pct", 100.0 * p, "tol_pct");
        row.holds("vol_pct_60f", strength::proof_60f(p) / 2.0, "tol_pct");
        row.holds("sg_air_25_25", gravity(25.0), "tol_sg");
        row.holds("sg_air_60f_60f", gravity(SIXTY_FAHRENHEIT_C), "tol_sg");
    }
}

#[test]
fn val_distillate_specific_gravity_to_mass() {
    // GOST 12787-2021, annex A.
    for row in rows(include_str!("../../reference/distillate_sg_to_mass.csv"), 43) {
        let density = row.number("sg_20_20") * WATER_20C;
        let found = describe(LiquidInput::exact(Basis::DensityKgM3(density), 20.0)).unwrap();
        row.holds("mass_pct", found.mass_percent, "tolerance_pct");
    }
}

#[test]
fn xval_us_proof_in_per_cent_by_volume_at_20c() {
    // Worked out with OIML R 22 apart from this code: 100, 80 and 190 proof.
    for (proof, vol) in [(100.0, 50.06), (80.0, 40.07), (190.0, 95.01)] {
        let found = describe(LiquidInput::exact(Basis::Proof60F(proof), 20.0)).unwrap();
        assert!((found.strength_vol_20c - vol).abs() <= 0.005, "{proof}: {found:?}");
    }
}
