//! Numbers of an entry that were typed in other units: converted for reckoning, kept as typed.

use account::{AccountError, Draft, Entry, EntryKind, Ledger, TypedLeg};
use quantities::TypedValue;

use crate::support::DAY;

fn resolved(from: &str) -> Result<Entry, AccountError> {
    let leg = |text: &str| TypedLeg::of_text(text);
    let entry = Entry::new(EntryKind::Receive, DAY, "Ada");
    let (from, to) = (vec![leg(from)?], vec![leg("tank:T1/A=rest")?]);
    Draft { entry, from, to, read: None }.resolve(&Ledger::default())
}

#[test]
fn val_an_amount_in_other_units_is_the_pure_alcohol_it_is_and_stays_as_typed() {
    // A US gallon is 3.785411784 L and an imperial one 4.54609 L by definition; 80 US proof are
    // 40 % vol at 60 °F, 40.07 at 20 °C (OIML R 22 at both temperatures); a US fluid ounce is 1/128
    // gallon; a proof gallon holds half a gallon of pure alcohol at 60 °F (27 CFR 30.11), 1.902 L
    // at 20 °C.
    for (amount, litres, kept) in [
        (
            "5 US gal@80 US proof",
            5.0 * 3.785411784 * 0.4007,
            vec![("litres_20c", 5.0, "US gal"), ("strength_vol", 80.0, "US proof")],
        ),
        ("2 imp gal@12", 2.0 * 4.54609 * 0.12, vec![("litres_20c", 2.0, "imp gal")]),
        (
            "12x25 US fl oz@43",
            12.0 * 25.0 * 0.0295735 * 0.43,
            vec![("bottle_ml", 25.0, "US fl oz")],
        ),
        ("2,5pg", 2.5 * 1.9018, vec![("pure_alcohol_l", 2.5, "pg")]),
        ("0.01hl", 1.0, vec![("pure_alcohol_l", 0.01, "hl")]),
        ("3 L@40 % vol", 1.2, vec![]),
        ("1.25", 1.25, vec![]),
    ] {
        let entry = resolved(&format!("received={amount}")).expect(amount);
        assert!((entry.moved().litres() - litres).abs() < 2e-3, "{amount}: {}", entry.moved());
        let kept: Vec<TypedValue> = kept
            .into_iter()
            .map(|(field, value, unit)| TypedValue {
                field: format!("from[0].{field}"),
                value,
                unit: unit.to_owned(),
            })
            .collect();
        assert_eq!(entry.typed, kept, "{amount}");
        entry.check().expect(amount);
    }
}

#[test]
fn a_unit_that_is_none_of_it_is_refused_by_name() {
    for amount in ["5 F@40", "5@80 inHg", "5 US gal@201 US proof", "3x7 kg@40", "gal@40", "1e400pg"]
    {
        let error = resolved(&format!("received={amount}")).expect_err(amount);
        assert_eq!(error.field(), "place", "{amount}");
    }
    let mut entry = resolved("received=2.5pg").expect("fits");
    for (value, unit) in [(f64::NAN, "pg"), (1.0, "p;g"), (1.0, "")] {
        entry.typed[0] = TypedValue { field: "found_l".into(), value, unit: unit.into() };
        assert!(entry.check().is_err(), "{value} {unit}");
    }
}
