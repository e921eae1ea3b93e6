//! Country profiles: each file is read, and reports as its rules say.

use account::{EntryKind, PROFILES, Profile, PureAlcohol};

fn profile(name: &str) -> Profile {
    let (_, text) = PROFILES.iter().find(|(known, _)| *known == name).expect("a profile");
    toml::from_str(text).expect("a whole profile")
}

#[test]
fn every_profile_is_whole() {
    for (name, _) in PROFILES {
        let read = profile(name);
        assert_eq!(read.name, name);
        assert!(read.accepts.contains("must accept"), "{name} says what the authority must accept");
        assert!(read.loss_norms.contains_key(&EntryKind::Distil), "{name}");
    }
}

#[test]
fn val_proof_gallons_are_rounded_once_to_a_tenth() {
    // 27 CFR 30.64: to one decimal, less than 0.05 dropped, 0.05 and more counted up.
    let us = profile("us");
    let per_litre = us.amount(PureAlcohol::of_litres(1.0).unwrap());
    for (proof_gallons, shown) in
        [(0.049, "0.0"), (0.051, "0.1"), (0.149, "0.1"), (0.151, "0.2"), (12.34, "12.3")]
    {
        let alcohol = PureAlcohol::of_litres(proof_gallons / per_litre).unwrap();
        assert_eq!(us.reported(alcohol), shown, "{proof_gallons}");
    }
    // A wine gallon of 200 proof is two proof gallons at 60 °F (27 CFR 30.1); pure ethanol is
    // 0.79389 at 60 °F and 0.78924 at 20 °C (27 CFR 19.1 has the specific gravity 0.7939 at
    // 60/60 °F, water 0.99904; OIML R 22 has 789.239 kg/m³ at 20 °C): to the last digit of 0.7939.
    let expected = 2.0 / 3.785411784 * 789.239 / (0.7939 * 999.04);
    assert!((per_litre - expected).abs() < 1e-4, "{per_litre} {expected}");
}

#[test]
fn litres_and_hectolitres_are_of_20_degrees() {
    let alcohol = PureAlcohol::of_text("123.456789").unwrap();
    assert_eq!(profile("metric").reported(alcohol), "123.457");
    assert_eq!(profile("eu").reported(alcohol), "1.23457");
}
