//! Published tables of reduction with water, every row, and the worked example.

use crate::support::rows;
use alcoholometry::reduce::{ReduceInput, reduce, to_make};
use alcoholometry::{kernel, strength};

/// Strength at 20 °C of a strength whose volumes are taken at another temperature.
fn vol20(percent: f64, reference_celsius: f64) -> f64 {
    let p = strength::mass_fraction_from_vol(percent / 100.0, reference_celsius).expect("in range");
    100.0 * kernel::vol20_from_mass_fraction(p)
}

#[test]
fn val_volumes_of_water_per_100_volumes_of_spirit_at_15c() {
    // The Gay-Lussac table of reduction and an engineering reprint of the US gauging manual.
    for row in rows(include_str!("../../reference/dilution_water.csv"), 158) {
        let t = row.number("t_ref_c");
        let (from, to) = (vol20(row.number("from_pct_vol"), t), vol20(row.number("to_pct_vol"), t));
        let found = reduce(ReduceInput::exact(100.0, from, to, t)).unwrap();
        row.holds("water_vol_per_100", found.water_l, "tolerance");
    }
}

#[test]
fn val_water_and_spirit_for_1000_ml_at_20c() {
    // State Pharmacopoeia of the USSR.
    for row in rows(include_str!("../../reference/dilution_to_1000ml.csv"), 44) {
        let (from, to) = (row.number("spirit_pct_vol"), row.number("target_pct_vol"));
        let (spirit_l, found) = to_make(1.0, from, to, row.number("t_c")).unwrap();
        row.holds("spirit_ml", 1000.0 * spirit_l, "tolerance_ml");
        row.holds("water_ml", 1000.0 * found.water_l, "tolerance_ml");
        row.holds_within("final_ml", 1000.0 * found.product_l_20c, 1e-9);
    }
}

#[test]
fn xval_worked_example_of_a_reduction() {
    // Worked out with OIML R 22 apart from this code: 1 L of 70 % vol to 40 % vol at 20 °C.
    let found = reduce(ReduceInput::exact(1.0, 70.0, 40.0, 20.0)).unwrap();
    assert!((found.water_l_20c - 0.7749).abs() <= 5e-5, "{found:?}");
    assert!((found.water_kg - 0.7735).abs() <= 5e-5, "{found:?}");
    assert!((found.product_l_20c - 1.75).abs() <= 5e-5, "{found:?}");
    let contraction_l = 1.0 + found.water_l_20c - found.product_l_20c;
    assert!((contraction_l - 0.0249).abs() <= 5e-5, "{found:?}");
    assert!((found.contraction_percent - 100.0 * contraction_l / 1.7749).abs() < 1e-3);
    assert!((found.naive_water_l - 0.75).abs() < 1e-12);
}
