//! Published tables of hydrometer corrections, US gauging and volume correction, every row.

use crate::support::rows;
use alcoholometry::density::SIXTY_FAHRENHEIT_C;
use alcoholometry::gauge::{GaugeInput, Scale, gauge, would_read};
use alcoholometry::liquid::{Basis, LiquidInput, describe};
use alcoholometry::reduce::{ReduceInput, reduce};
use alcoholometry::{kernel, strength, us, volume};

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
        let found = match row.text("quantity") {
            "wine_gal_per_lb" => us::wine_gallons_per_pound(proof),
            "proof_gal_per_lb" => us::proof_gallons_per_pound(proof),
            "lb_per_wine_gal" => us::pounds_per_wine_gallon(proof),
            "water_parts_per_100" => us::water_parts_per_100(proof),
            "water_gal_per_100_wg_to_100_proof" => {
                let (from, to) = (vol20_of_proof(proof), vol20_of_proof(100.0));
                let made = reduce(ReduceInput::exact(100.0, from, to, SIXTY_FAHRENHEIT_C));
                made.map(|made| made.water_l)
            }
            container => {
                let gallons = container
                    .strip_prefix("container_lb_for_")
                    .and_then(|rest| rest.split('_').next())
                    .and_then(|gallons| gallons.parse::<f64>().ok())
                    .unwrap_or_else(|| panic!("unknown quantity {container}"));
                us::container_pounds(gallons, proof)
            }
        };
        row.holds("value", found.unwrap(), "tolerance");
    }
}

#[test]
fn val_the_way_by_weight_and_the_way_by_volume_give_the_same_proof_gallons() {
    // 27 CFR 30.64, table 4: 302.58 proof gallons in 1000 lb of 200 proof; by 30.65 and the proof
    // over 100 the same spirit by volume. Both tables have five figures.
    for proof in [80.0, 100.0, 112.0, 190.0, 200.0] {
        let by_weight = 1000.0 * us::proof_gallons_per_pound(proof).unwrap();
        let gallons = 1000.0 * us::wine_gallons_per_pound(proof).unwrap();
        assert!((by_weight - us::proof_gallons(gallons, proof)).abs() < 1e-9);
        // The way over litres at 20 °C is the third.
        let p = us::mass_fraction(proof).unwrap();
        let litres_20c = gallons * us::GALLON_L * volume::factor(p, SIXTY_FAHRENHEIT_C, 20.0);
        assert!((us::wine_gallons_of_20c(litres_20c, p) - gallons).abs() < 1e-9);
        let pure_l = litres_20c * kernel::vol20_from_mass_fraction(p);
        assert!((us::proof_gallons_of_pure_alcohol(pure_l) - by_weight).abs() < 1e-6);
    }
    assert!(us::mass_fraction(200.1).is_err() && us::mass_fraction(f64::NAN).is_err());
}

#[test]
fn val_rounding_of_27_cfr_30_64_to_a_tenth_of_a_proof_gallon() {
    // Less than 0.05 is dropped, 0.05 and more is counted up.
    for (proof_gallons, rounded) in [
        (0.0, 0.0),
        (0.0499, 0.0),
        (0.05, 0.1),
        (1.25, 1.3),
        (0.15, 0.2),
        (2.35, 2.4),
        (1.2499, 1.2),
        (302.58, 302.6),
        (99.95, 100.0),
        (1234.55, 1234.6),
    ] {
        let found = us::rounded_tenth(proof_gallons);
        assert!((found - rounded).abs() < 1e-9, "{proof_gallons}: {found}");
        assert!((us::rounded_tenth(found) - found).abs() < 1e-9, "rounded once");
    }
}

#[test]
fn val_rounding_of_27_cfr_30_44_to_whole_ounces() {
    // 27 CFR 30.44(b): a fraction of an ounce counts as a whole one. 2 gallons of 190 proof weigh
    // 13.589 lb by 30.65 (6.79434 lb each): 217.42 ounces, counted as 218, which is 13.625 lb.
    let found = us::container_pounds(2.0, 190.0).unwrap();
    assert!((found - 13.625).abs() < 1e-12, "{found}");
    assert!((found * 16.0 - (found * 16.0).round()).abs() < 1e-12);
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
