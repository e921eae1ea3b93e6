//! Laws that hold for any input: round trips, conservation, contraction.

use alcoholometry::blend::{Part, RaiseInput, blend, stronger_part};
use alcoholometry::gauge::{GaugeInput, Scale, gauge, would_read};
use alcoholometry::liquid::{Basis, LiquidInput, describe};
use alcoholometry::reduce::{ReduceInput, diluted_to, reduce, to_make};
use alcoholometry::wash::{Sugar, SugarKind, WashInput, forecast, sugar_for_strength};
use alcoholometry::{freezing, kernel};
use proptest::prelude::*;

/// A temperature of the formula and a mass fraction that is all liquid there.
fn liquid() -> impl Strategy<Value = (f64, f64)> {
    (-20.0..=40.0, 1e-9..=1.0).prop_map(|(t, share): (f64, f64)| {
        let low = freezing::mass_fraction_low(t);
        (t, low + (1.0 - low) * share)
    })
}

fn scale() -> impl Strategy<Value = Scale> {
    prop::sample::select(Scale::ALL.to_vec())
}

fn parts() -> impl Strategy<Value = Vec<Part>> {
    prop::collection::vec((0.01..100.0, 0.0..=100.0, 0.0..=40.0), 1..20).prop_map(|parts| {
        parts
            .into_iter()
            .map(|(litres, vol, celsius)| Part { celsius, ..Part::at_20c(litres, vol) })
            .collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn prop_every_basis_returns_home((t, p) in liquid()) {
        let there = describe(LiquidInput::exact(Basis::MassPercent(100.0 * p), t)).unwrap();
        for basis in [
            Basis::Vol20Percent(there.strength_vol_20c.clamp(0.0, 100.0)),
            Basis::MoleFraction(there.mole_fraction),
            Basis::Proof60F(there.proof_60f.clamp(0.0, 200.0)),
            Basis::DensityKgM3(there.density_kg_m3),
        ] {
            let back = basis.mass_fraction(t).unwrap();
            prop_assert!((back - p).abs() < 1e-9, "{:?} at {}: {} for {}", basis, t, back, p);
        }
    }

    #[test]
    fn prop_a_glass_read_and_corrected_returns_home((t, p) in liquid(), scale in scale()) {
        let strength = 100.0 * kernel::vol20_from_mass_fraction(p).clamp(0.0, 1.0);
        // Outside the ends of its scale a glass has no reading: `bad_input`.
        if let Ok(reading) = would_read(strength, t, scale) {
            let found = gauge(GaugeInput::new(reading, t, scale)).unwrap();
            prop_assert!((found.strength_vol_20c - strength).abs() < 1e-9, "{} {}", reading, t);
            prop_assert!(found.strength_sd > 0.0 && found.strength_sd < 5.0);
        }
    }

    #[test]
    fn prop_blends_conserve_mass_and_ethanol(parts in parts()) {
        let found = blend(&parts).unwrap();
        let (mut mass, mut ethanol) = (0.0, 0.0);
        for part in &parts {
            let p = kernel::mass_fraction_from_vol20(part.strength_vol_20c / 100.0);
            let kg = part.litres * kernel::density_kg_m3(p, part.celsius) / 1000.0;
            mass += kg;
            ethanol += kg * p;
        }
        prop_assert!((found.mass_kg - mass).abs() < 1e-9 * mass);
        let p = kernel::mass_fraction_from_vol20(found.strength_vol_20c / 100.0);
        let kg = found.litres_20c * kernel::density_kg_m3(p, 20.0) / 1000.0;
        prop_assert!((kg - mass).abs() < 1e-9 * mass);
        prop_assert!((kg * p - ethanol).abs() < 1e-9 * mass);
        prop_assert!((found.pure_alcohol_l * 0.789239 - ethanol).abs() < 1e-6 * mass);
    }

    #[test]
    fn prop_reducing_is_blending_with_water(
        litres in 0.1..100.0, from in 1.0..=100.0_f64, share in 0.01..=1.0_f64, t in 0.0..=40.0,
    ) {
        let to = (from * share).max(0.1);
        let found = reduce(ReduceInput::exact(litres, from, to, t)).unwrap();
        let spirit = Part { celsius: t, ..Part::at_20c(litres, from) };
        let water = Part { celsius: t, ..Part::at_20c(found.water_l.min(1e5), 0.0) };
        prop_assume!(found.water_l <= 1e5);
        let blended = blend(&[spirit, water]).unwrap();
        prop_assert!((blended.strength_vol_20c - to).abs() < 1e-9);
        prop_assert!((blended.litres_20c / found.product_l_20c - 1.0).abs() < 1e-9);
        prop_assert!((blended.contraction_percent - found.contraction_percent).abs() < 1e-8);
        let (strength, product) = diluted_to(litres, from, found.water_l, t).unwrap();
        prop_assert!((strength - to).abs() < 1e-9);
        prop_assert!((product / found.product_l_20c - 1.0).abs() < 1e-9);
        let (spirit_l, _) = to_make(found.product_l_20c.min(1e5), from, to, t).unwrap();
        prop_assert!((spirit_l / litres - 1.0).abs() < 1e-9 || found.product_l_20c > 1e5);
    }

    #[test]
    fn prop_strong_spirit_contracts_with_water(from in 60.0..=100.0, to in 5.0..55.0) {
        // The volume of mixing of ethanol and water is negative throughout: spirit of 60 % vol and
        // more has some of it left to give. Thinned below a few % vol it gains room (see below).
        let found = reduce(ReduceInput::exact(1.0, from, to, 20.0)).unwrap();
        prop_assert!(found.contraction_percent > 0.0, "{:?}", found);
        prop_assert!(found.water_l_20c > found.naive_water_l);
        prop_assert!(found.warming_k.is_some_and(|warming| warming > 0.0));
    }

    #[test]
    fn prop_the_stronger_part_brings_the_blend_to_its_target(
        litres in 0.1..100.0, weaker in 0.0..60.0, gap in 1.0..40.0, share in 0.0..0.95,
    ) {
        let stronger = weaker + gap;
        let target = weaker + gap * share;
        let (added, blended) =
            stronger_part(RaiseInput { litres, weaker, stronger, target }).unwrap();
        prop_assert!((blended.strength_vol_20c - target).abs() < 1e-9);
        prop_assert!(added >= 0.0);
    }

    #[test]
    fn prop_sugar_for_a_strength_gives_that_strength(
        litres in 1.0..500.0, strength in 0.5..18.0, efficiency in 70.0..=100.0,
        kind in prop::sample::select(SugarKind::ALL.to_vec()),
    ) {
        let kg = sugar_for_strength(litres, kind, strength, efficiency).unwrap();
        let sugars = [Sugar { kind, kg }];
        let input = WashInput { litres, sugars: &sugars, efficiency_percent: efficiency };
        let found = forecast::forecast(&input).unwrap();
        prop_assert!((found.strength_vol - strength).abs() < 1e-7);
        prop_assert!(found.final_gravity < found.original_gravity);
    }
}

#[test]
fn prop_weak_spirit_and_water_take_a_little_more_room() {
    // The partial molar volume of ethanol in water has a minimum near x = 0.08 (well known since
    // Mendeleev's measurements; from memory): below it, thinning further expands.
    let found = reduce(ReduceInput::exact(1.0, 10.0, 5.0, 20.0)).unwrap();
    assert!(found.contraction_percent < 0.0 && found.contraction_percent > -0.2, "{found:?}");
}
