//! Deviations of answers: against moved readings and against the arithmetic of the bench.

use alcoholometry::blend::{Part, blend};
use alcoholometry::liquid::{Basis, LiquidInput, describe};
use alcoholometry::reduce::{ReduceInput, diluted_to, reduce};

#[test]
fn prop_the_deviations_of_a_reduction_are_what_moved_readings_show() {
    let input = ReduceInput {
        litres_sd: 0.05,
        from_sd: 0.2,
        celsius_sd: 0.5,
        ..ReduceInput::exact(10.0, 82.0, 43.0, 24.0)
    };
    let found = reduce(input).unwrap();
    let case = |litres, from, celsius| {
        let found = reduce(ReduceInput { litres, from, celsius, ..input }).unwrap();
        [found.water_kg, found.product_l_20c]
    };
    let h = 1e-3;
    let by_litres = [case(10.0 - h, 82.0, 24.0), case(10.0 + h, 82.0, 24.0)];
    let by_from = [case(10.0, 82.0 - h, 24.0), case(10.0, 82.0 + h, 24.0)];
    let by_celsius = [case(10.0, 82.0, 24.0 - h), case(10.0, 82.0, 24.0 + h)];
    for (i, sd) in [found.water_kg_sd, found.product_l_20c_sd].into_iter().enumerate() {
        let part =
            |sides: [[f64; 2]; 2], sd: f64| ((sides[1][i] - sides[0][i]) / (2.0 * h) * sd).powi(2);
        let expected = (part(by_litres, 0.05) + part(by_from, 0.2) + part(by_celsius, 0.5)).sqrt();
        assert!((sd / expected - 1.0).abs() < 1e-4, "answer {i}: {sd} {expected}");
    }
}

#[test]
fn prop_the_strength_reached_moves_with_what_was_misread() {
    // The water is fixed by the readings: 0.2 % vol too strong a spirit gives too strong a product.
    let input = ReduceInput { from_sd: 0.2, ..ReduceInput::exact(10.0, 82.0, 43.0, 20.0) };
    let found = reduce(input).unwrap();
    let (stronger, _) = diluted_to(10.0, 82.2, found.water_l, 20.0).unwrap();
    let (weaker, _) = diluted_to(10.0, 81.8, found.water_l, 20.0).unwrap();
    assert!((found.strength_sd - (stronger - weaker) / 2.0).abs() < 1e-4, "{found:?}");
    assert!(reduce(ReduceInput::exact(10.0, 82.0, 43.0, 20.0)).unwrap().strength_sd.abs() < 1e-15);
}

#[test]
fn prop_equal_parts_average_their_deviations() {
    // Four equal parts of one strength, each ±0.2: the blend is ±0.1, the square root of four less.
    let part = Part { strength_sd: 0.2, ..Part::at_20c(2.0, 50.0) };
    let found = blend(&[part; 4]).unwrap();
    assert!((found.strength_sd - 0.1).abs() < 1e-6, "{found:?}");
    assert!((found.strength_vol_20c - 50.0).abs() < 1e-9 && found.contraction_percent.abs() < 1e-9);
    assert!((found.pure_alcohol_l_sd - 4.0_f64.sqrt() * 2.0 * 0.002).abs() < 1e-5, "{found:?}");
}

#[test]
fn prop_a_liquid_carries_the_deviation_of_its_strength_and_temperature() {
    let exact = LiquidInput::exact(Basis::DensityKgM3(935.0), 24.0);
    let found = describe(LiquidInput { basis_sd: 0.5, celsius_sd: 0.2, ..exact }).unwrap();
    let strength = |density, celsius| {
        describe(LiquidInput::exact(Basis::DensityKgM3(density), celsius)).unwrap().strength_vol_20c
    };
    let by_density = (strength(935.5, 24.0) - strength(934.5, 24.0)) / 2.0;
    let by_celsius = (strength(935.0, 24.2) - strength(935.0, 23.8)) / 2.0;
    let expected = f64::hypot(by_density, by_celsius);
    assert!((found.strength_sd / expected - 1.0).abs() < 1e-3, "{found:?} {expected}");
    assert!(
        (found.density_sd_kg_m3 - 0.5).abs() < 1e-6,
        "the density was what was read: {found:?}"
    );
}
