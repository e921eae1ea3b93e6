//! Short ways to write entries.

use account::{Entry, EntryKind, Ledger, Leg, Name, Numbered, Place, PureAlcohol};

/// 2026-11-30, 00:00 UTC.
pub(crate) const DAY: i64 = 1_795_996_800_000;
/// A minute.
pub(crate) const MINUTE: i64 = 60_000;

/// A leg of a text as `tank:T1/L1=2.5`.
pub(crate) fn leg(text: &str) -> Leg {
    let (whereabouts, litres) = text.split_once('=').expect("PLACE/LOT=LITRES");
    let (place, lot) = match whereabouts.split_once('/') {
        Some((place, lot)) => (place, Some(Name::new(lot).expect("a name"))),
        None => (whereabouts, None),
    };
    Leg::new(
        Place::of_text(place).expect("a place"),
        lot,
        PureAlcohol::of_text(litres).expect("litres"),
    )
}

/// An entry some minutes after the beginning of the day.
pub(crate) fn entry(kind: EntryKind, minute: i64, from: &[&str], to: &[&str]) -> Entry {
    let mut entry = Entry::new(kind, DAY + minute * MINUTE, "Ada");
    entry.from = from.iter().map(|text| leg(text)).collect();
    entry.to = to.iter().map(|text| leg(text)).collect();
    if matches!(kind, EntryKind::Lose | EntryKind::Gain | EntryKind::Destroy) {
        entry.note = Some("as said".into());
    }
    entry
}

/// A ledger of entries in their order.
pub(crate) fn ledger(entries: &[Entry]) -> Ledger {
    let mut ledger = Ledger::default();
    for entry in entries {
        put(&mut ledger, entry);
    }
    ledger
}

/// Takes an entry into a ledger as its next.
#[track_caller]
pub(crate) fn put(ledger: &mut Ledger, entry: &Entry) {
    let number = ledger.length() + 1;
    ledger.take(&Numbered { number, entry: entry.clone() }).expect("an entry that fits");
}

/// A chain from sugar to bottle.
pub(crate) fn chain() -> Vec<Entry> {
    use EntryKind::{Blend, Bottle, Carbon, Charge, Distil, Feints, Ferment, Reduce, Remove};
    let mut bottle = entry(
        Bottle,
        60,
        &["tank:T2/G1=1.4"],
        &["bottles:shelf/B1=1.38", "loss:bottling=0.015", "sample:gauge=0.005"],
    );
    bottle.to[0].bottles = Some(5);
    bottle.to[0].bottle_ml = Some(700.0);
    bottle.to[0].strength_vol = Some(39.43);
    vec![
        entry(Ferment, 0, &["fermented=3"], &["wash:W1/W1=3"]),
        entry(Charge, 10, &["wash:W1/W1=3"], &["pot:still/C1=2.95", "loss:wash=0.05"]),
        entry(
            Distil,
            20,
            &["pot:still/C1=2.95"],
            &[
                "jar:1/J1=0.2",
                "jar:2/J2=0.9",
                "jar:3/J3=0.8",
                "jar:4/J4=0.4",
                "loss:residue=0.4",
                "loss:vapour=0.1",
                "not_explained=0.15",
            ],
        ),
        entry(
            Blend,
            30,
            &["jar:2/J2=0.9", "jar:3/J3=0.8"],
            &["tank:T1/H1=1.69", "loss:transfer=0.01"],
        ),
        entry(Feints, 31, &["jar:1/J1=0.2", "jar:4/J4=0.4"], &["feints:F/F1=0.6"]),
        entry(Reduce, 40, &["tank:T1/H1=1.69"], &["tank:T1/R1=1.69"]),
        entry(Carbon, 50, &["tank:T1/R1=1.69"], &["tank:T2/G1=1.6", "loss:carbon=0.09"]),
        bottle,
        entry(Remove, 70, &["bottles:shelf/B1=0.276"], &["removed:sold=0.276"]),
    ]
}
