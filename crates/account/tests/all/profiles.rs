//! Country profiles: each file is read, and reports as its rules say.

use account::{EntryKind, PROFILES, Profile, PureAlcohol};

fn profile(name: &str) -> Profile {
    let (_, text) = PROFILES.iter().find(|(known, _)| *known == name).unwrap();
    toml::from_str(text).unwrap()
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
    // 100 proof is 50 % vol at 60 °F and 50.06 % vol at 20 °C (27 CFR 30.1 and OIML R 22): a wine
    // gallon of it is 3.785411784 L at 60 °F. 0.05 and 0.149 of a proof gallon are 0.1, 0.04 is 0.
    let per_gallon = us.amount(PureAlcohol::of_litres(1.0).unwrap(), Some(50.06));
    for (proof_gallons, shown) in
        [(0.049, "0.0"), (0.051, "0.1"), (0.149, "0.1"), (0.151, "0.2"), (12.34, "12.3")]
    {
        let alcohol = PureAlcohol::of_litres(proof_gallons / per_gallon).unwrap();
        assert_eq!(us.reported(alcohol, Some(50.06)), shown, "{proof_gallons}");
    }
    // 3.785411784 L of pure alcohol at 60 °F are two proof gallons; at 20 °C they are 0.486 % more
    // (26 CFR 186.67: 0.9953 and the like): a litre at 20 °C is two gallons' share less that.
    let expected = 2.0 / 3.785411784 * (1.0 - 0.00486);
    assert!((us.amount(PureAlcohol::of_litres(1.0).unwrap(), Some(99.9)) - expected).abs() < 1e-4);
}

#[test]
fn litres_and_hectolitres_are_of_20_degrees() {
    let alcohol = PureAlcohol::of_text("123.456789").unwrap();
    assert_eq!(profile("metric").reported(alcohol, None), "123.457");
    assert_eq!(profile("eu").reported(alcohol, None), "1.23457");
}
