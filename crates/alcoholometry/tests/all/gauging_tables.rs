//! Published tables of hydrometer corrections, US gauging and volume correction, every row.

use crate::support::rows;
use alcoholometry::density::SIXTY_FAHRENHEIT_C;
use alcoholometry::gauge::{GaugeInput, Scale, gauge, would_read};
use alcoholometry::liquid::{Basis, LiquidInput, describe};
use alcoholometry::reduce::{ReduceInput, reduce};
use alcoholometry::weighing::{BRASS_DENSITY_KG_M3, density_in_air_kg_m3};
use alcoholometry::{kernel, strength, volume};

/// US wine gallon in litres and pound in kilograms, exact by definition.
const GALLON_L: f64 = 3.785411784;
const POUND_KG: f64 = 0.45359237;

fn vol20_of_proof(proof: f64) -> f64 {
    let liquid = LiquidInput::exact(Basis::Proof60F(proof), 20.0);
    describe(liquid).expect("in range").strength_vol_20c
}

#[test]
fn val_alcoholometer_corrections() {
    // A thermo-alcoholometer leaflet, the Tralles 60 °F table, 27 CFR 30.23.
    for row in rows(include_str!("../../reference/alcoholometer_correction.csv"), 157) {
        let at_20c = (row.number("scale_ref_c") - 20.0).abs() < 1e-9;
        let scale = if at_20c { Scale::Vol20 } else { Scale::Vol60 };
        let (reading, t) = (row.number("reading_pct_vol"), row.number("t_c"));
        if row.text("solve_for") == "true" {
            let found = gauge(GaugeInput::new(reading, t, scale)).unwrap();
            let strength = if at_20c { found.strength_vol_20c } else { found.proof_60f / 2.0 };
            row.holds("true_pct_vol_at_ref", strength, "tolerance");
        } else {
            let strength = vol20_of_proof(2.0 * row.number("true_pct_vol_at_ref"));
            row.holds("reading_pct_vol", would_read(strength, t, scale).unwrap(), "tolerance");
        }
    }
}

#[test]
fn val_density_hydrometer_to_mass() {
    // Brazilian control table for fuel alcohol.
    for row in rows(include_str!("../../reference/hydrometer_density_to_mass.csv"), 62) {
        let reading = 1000.0 * row.number("reading_g_ml");
        let input = GaugeInput::new(reading, row.number("t_c"), Scale::Density);
        row.holds("mass_pct", gauge(input).unwrap().mass_percent, "tolerance_pct");
    }
}

#[test]
fn val_us_proof_gauging() {
    // 27 CFR 30.41 to 30.66, 21.161 and 26 CFR 186.66.
    for row in rows(include_str!("../../reference/us_proof_gauging.csv"), 16) {
        let proof = row.number("proof");
        let p = strength::mass_fraction_from_vol(proof / 200.0, SIXTY_FAHRENHEIT_C).unwrap();
        let density = kernel::density_kg_m3(p, SIXTY_FAHRENHEIT_C);
        let in_air = density_in_air_kg_m3(density, BRASS_DENSITY_KG_M3);
        let pounds_per_gallon = in_air * GALLON_L / 1000.0 / POUND_KG;
        let quantity = row.text("quantity");
        let found = match quantity {
            "wine_gal_per_lb" => 1.0 / pounds_per_gallon,
            "proof_gal_per_lb" => proof / 100.0 / pounds_per_gallon,
            "lb_per_wine_gal" => pounds_per_gallon,
            "water_parts_per_100" => volume::litres(
                volume::mass_kg(100.0, SIXTY_FAHRENHEIT_C, p) * (1.0 - p),
                SIXTY_FAHRENHEIT_C,
                0.0,
            ),
            "water_gal_per_100_wg_to_100_proof" => {
                let (from, to) = (vol20_of_proof(proof), vol20_of_proof(100.0));
                reduce(ReduceInput::exact(100.0, from, to, SIXTY_FAHRENHEIT_C)).unwrap().water_l
            }
            container => {
                let gallons = container
                    .strip_prefix("container_lb_for_")
                    .and_then(|rest| rest.split('_').next())
                    .and_then(|gallons| gallons.parse::<f64>().ok())
                    .unwrap_or_else(|| panic!("unknown quantity {container}"));
                (16.0 * gallons * pounds_per_gallon).ceil() / 16.0
            }
        };
        row.holds("value", found, "tolerance");
    }
}

#[test]
fn val_volume_correction() {
    // 26 CFR 186.67 and 27 CFR 30.51, 30.67.
    for row in rows(include_str!("../../reference/volume_correction.csv"), 5) {
        let reference = row.number("t_ref_c");
        let fraction = row.number("pct_vol_at_ref") / 100.0;
        let p = strength::mass_fraction_from_vol(fraction, reference).unwrap();
        let found = volume::factor(p, row.number("t_c"), reference);
        row.holds("factor_to_ref", found, "tolerance");
    }
}

#[test]
fn xval_worked_examples_of_gauging() {
    // Worked out with OIML R 22 and ISO 1768 apart from this code.
    let found = gauge(GaugeInput::new(62.0, 28.0, Scale::Vol20)).unwrap();
    assert!((found.strength_vol_20c - 59.20).abs() <= 0.005, "{found:?}");
    let p = kernel::mass_fraction_from_vol20(0.60);
    assert!((volume::factor(p, 28.0, 20.0) - 0.99286).abs() <= 5e-6);
    assert!((volume::litres_20c(1.0, 28.0, p) - 0.99286).abs() <= 5e-6);
}

#[test]
fn prop_the_deviation_of_a_gauging_is_what_moved_readings_show() {
    for (reading, celsius, scale) in [
        (5.0, 15.0, Scale::Vol20),
        (62.0, 28.0, Scale::Vol20),
        (94.0, 12.0, Scale::Vol60),
        (120.0, 30.0, Scale::Proof60),
        (880.0, 5.0, Scale::Density),
    ] {
        let input = GaugeInput {
            reading_sd: 0.1,
            celsius_sd: 0.2,
            ..GaugeInput::new(reading, celsius, scale)
        };
        let strength = |reading, celsius| {
            gauge(GaugeInput { reading, celsius, ..input }).unwrap().strength_vol_20c
        };
        let h = 1e-3;
        let by_reading =
            (strength(reading + h, celsius) - strength(reading - h, celsius)) / (2.0 * h);
        let by_celsius =
            (strength(reading, celsius + h) - strength(reading, celsius - h)) / (2.0 * h);
        let expected = f64::hypot(by_reading * 0.1, by_celsius * 0.2);
        let found = gauge(input).unwrap().strength_sd;
        assert!((found - expected).abs() < 1e-6, "{scale:?}: {found} {expected}");
    }
}
