//! Recall: which bottles hold any of a jar, and what is in a bottle.

use account::{EntryKind, Ledger, Name, Recall};

use crate::support::{chain, entry, ledger};

fn amounts(recall: &Recall) -> Vec<String> {
    recall
        .traces
        .iter()
        .map(|trace| match &trace.lot {
            Some(lot) => format!("{lot} {:.6}", trace.alcohol.litres()),
            None => format!("{} {:.6}", trace.place, trace.alcohol.litres()),
        })
        .collect()
}

fn went_to(ledger: &Ledger, lot: &str) -> Vec<String> {
    amounts(&ledger.went_to(&Name::new(lot).expect("a name")))
}

fn made_of(ledger: &Ledger, lot: &str) -> Vec<String> {
    amounts(&ledger.made_of(&Name::new(lot).expect("a name")))
}

#[test]
fn a_jar_is_followed_into_bottles_and_beyond() {
    let book = ledger(&chain());
    // 0.9 of 1.7 L went into the tank; by shares of what each act brings to.
    let share = 0.9 / 1.7;
    let expected = [
        ("H1", 1.69),
        ("loss:transfer", 0.01),
        ("R1", 1.69),
        ("G1", 1.6),
        ("loss:carbon", 0.09),
        ("B1", 1.38),
        ("loss:bottling", 0.015),
        ("sample:gauge", 0.005),
        ("removed:sold", 0.276),
    ]
    .map(|(lot, litres)| (lot, litres * share));
    // 1.4 of the 1.6 L of G1 were bottled.
    let found = went_to(&book, "J2");
    let expected: Vec<String> =
        expected.iter().map(|(lot, litres)| format!("{lot} {litres:.6}")).collect();
    assert_eq!(found, expected);
    assert_eq!(went_to(&book, "J1"), ["F1 0.200000"], "heads are in no bottle");
}

#[test]
fn a_bottle_is_followed_back_to_the_wash() {
    let book = ledger(&chain());
    let found = made_of(&book, "B1");
    let of = |lot: &str| {
        let line = found.iter().find(|line| line.starts_with(&format!("{lot} "))).unwrap();
        line.split_once(' ').unwrap().1.parse::<f64>().unwrap()
    };
    for (lot, litres) in [
        ("G1", 1.38),
        ("J2", 1.38 * 0.9 / 1.7),
        ("J3", 1.38 * 0.8 / 1.7),
        ("W1", 1.38),
        ("fermented", 1.38),
    ] {
        assert!((of(lot) - litres).abs() < 2e-6, "{lot}: {found:?}");
    }
    assert!(
        !found.iter().any(|line| line.starts_with("J1 ") || line.starts_with("J4 ")),
        "{found:?}"
    );
}

#[test]
fn a_lot_that_was_emptied_and_filled_again_holds_nothing_of_before() {
    use EntryKind::{Charge, Feints, Receive, Transfer};
    let book = ledger(&[
        entry(Receive, 0, &["received:x=1"], &["tank:T1/A=1"]),
        entry(Receive, 1, &["received:y=1"], &["tank:T2/B=1"]),
        entry(Feints, 2, &["tank:T1/A=1"], &["feints:F/F=1"]),
        entry(Charge, 3, &["feints:F/F=1"], &["pot:P/C1=1"]),
        entry(Feints, 4, &["tank:T2/B=1"], &["feints:F/F=1"]),
        entry(Charge, 5, &["feints:F/F=0.4"], &["pot:P/C2=0.4"]),
        entry(Transfer, 6, &["feints:F/F=0.1"], &["feints:F/G=0.1"]),
    ]);
    assert_eq!(went_to(&book, "A"), ["F 1.000000", "C1 1.000000"]);
    assert_eq!(made_of(&book, "C2"), ["F 0.400000", "B 0.400000", "received:y 0.400000"]);
    assert_eq!(went_to(&book, "B"), ["F 1.000000", "C2 0.400000", "G 0.100000"]);
}

#[test]
fn a_late_entry_is_followed_where_its_act_stands() {
    use EntryKind::{Receive, Transfer};
    let mut entries = vec![
        entry(Receive, 0, &["received:x=1"], &["tank:T1/A=1"]),
        entry(Receive, 1, &["received:y=1"], &["tank:T2/B=1"]),
        entry(Transfer, 10, &["tank:T2/B=0.5"], &["tank:T3/D=0.5"]),
        // Before that act, and entered after it.
        entry(Transfer, 5, &["tank:T1/A=1"], &["tank:T2/B=1"]),
    ];
    let book = ledger(&entries);
    assert_eq!(went_to(&book, "A"), ["B 1.000000", "D 0.250000"]);
    entries[3].act_ms = entries[2].act_ms + 1;
    assert_eq!(went_to(&ledger(&entries), "A"), ["B 1.000000"]);
}
