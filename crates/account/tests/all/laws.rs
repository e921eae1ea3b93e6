//! What holds after any sequence of entries, in any order of acts.

use std::collections::BTreeMap;

use account::{
    Entry, EntryKind, Ledger, Numbered, PlaceKind, PureAlcohol, Side, Span, Spent, river,
};
use proptest::prelude::*;

use crate::support::{chain, entry, ledger};

/// One drawn act: kind, minute, places by number, share of what is there, number to correct.
type Drawn = (u8, i64, usize, usize, u8, u64);

const STOCKS: [&str; 6] =
    ["tank:T1/A", "tank:T1/B", "tank:T2/A", "feints:F/F", "cask:C/C", "bottles:shelf/B"];
const GONE: [&str; 4] = ["loss:spill", "removed:sold", "sample:gauge", "not_explained"];

fn drawn_entry((act, minute, one, other, share, old): Drawn, length: u64) -> Entry {
    let (a, b) = (STOCKS[one % STOCKS.len()], STOCKS[other % STOCKS.len()]);
    let gone = GONE[other % GONE.len()];
    let amount = f64::from(share) / 100.0;
    let half = PureAlcohol::of_litres(amount / 3.0).expect("litres");
    let whole = PureAlcohol::of_litres(amount).expect("litres");
    let rest = whole.less(half);
    let whole = |place: &str| format!("{place}={whole}");
    let mut made = match act % 5 {
        0 | 1 => entry(EntryKind::Receive, minute, &[&whole("received:x")], &[&whole(a)]),
        2 => {
            let parts = [format!("{b}={half}"), format!("loss:transfer={rest}")];
            entry(EntryKind::Transfer, minute, &[&whole(a)], &[&parts[0], &parts[1]])
        }
        3 => {
            let kind = match gone.split(':').next().unwrap_or_default() {
                "removed" => EntryKind::Remove,
                "sample" => EntryKind::Sample,
                _ => EntryKind::Lose,
            };
            entry(kind, minute, &[&whole(a)], &[&whole(gone)])
        }
        _ => entry(EntryKind::Void, minute, &[], &[]),
    };
    if made.kind == EntryKind::Void || act % 7 == 0 {
        made.corrects = Some(1 + old % length.max(1));
        made.note = Some("wrong".into());
    }
    made
}

/// What every place holds after each act, reckoned anew from the entries alone.
fn anew(entries: &[Entry]) -> Result<BTreeMap<String, i128>, String> {
    let corrected: Vec<u64> = entries.iter().filter_map(|entry| entry.corrects).collect();
    let mut acts: Vec<(i64, u64, &Entry)> = (1..)
        .zip(entries)
        .filter(|(number, _)| !corrected.contains(number))
        .map(|(number, entry)| (entry.act_ms, number, entry))
        .collect();
    acts.sort_by_key(|(act_ms, number, _)| (*act_ms, *number));
    let mut held: BTreeMap<String, i128> = BTreeMap::new();
    for (_, number, entry) in acts {
        for leg in &entry.from {
            let there = held.entry(leg.whereabouts()).or_default();
            *there -= i128::from(leg.alcohol.nanolitres());
            if *there < 0 && leg.place.kind().side() == Side::Stock {
                return Err(format!("entry {number} overdraws {}", leg.whereabouts()));
            }
        }
        for leg in &entry.to {
            *held.entry(leg.whereabouts()).or_default() += i128::from(leg.alcohol.nanolitres());
        }
    }
    Ok(held)
}

fn same(ledger: &Ledger, held: &BTreeMap<String, i128>) {
    for holding in ledger.holdings() {
        let expected = held.get(&holding.whereabouts()).copied().unwrap_or_default();
        assert_eq!(i128::from(holding.now().nanolitres()), expected, "{}", holding.whereabouts());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn prop_any_sequence_keeps_every_nanolitre_and_no_place_below_none(
        acts in prop::collection::vec((0_u8..35, -500_i64..500, 0_usize..6, 0_usize..12, 0_u8..200, 0_u64..60), 1..60)
    ) {
        let mut taken: Vec<Entry> = Vec::new();
        let mut ledger = Ledger::default();
        for act in acts {
            let made = drawn_entry(act, ledger.length());
            let mut with = taken.clone();
            with.push(made.clone());
            let judged = ledger.judge(&made);
            let before = ledger.balance(Span::ALL);
            match ledger.take(&Numbered { number: ledger.length() + 1, entry: made }) {
                Ok(()) => taken = with,
                // Refused: for a reason that shows when all is reckoned anew, or for what it corrects.
                Err(error) => {
                    prop_assert_eq!(judged.clone(), Err(error));
                    prop_assert_eq!(ledger.balance(Span::ALL), before, "a refusal changed something");
                    let field = judged.unwrap_err().field();
                    prop_assert!(field == "corrects" || field == "to" || anew(&with).is_err(), "{}", field);
                    continue;
                }
            }
            let held = anew(&taken).map_err(TestCaseError::fail)?;
            same(&ledger, &held);
            let balance = ledger.balance(Span::ALL);
            prop_assert_eq!(balance.off, PureAlcohol::ZERO);
            let out = balance.gone_in_all().plus(balance.not_explained).plus(balance.closing);
            prop_assert_eq!(balance.came(), out);
        }
        // Whatever was corrected, the book as it stood after each entry comes back.
        let again = ledger_of(&taken);
        prop_assert_eq!(again.balance(Span::ALL), ledger.balance(Span::ALL));
        // So does all of it out of its bytes, with what every place held after each act.
        let back = Ledger::of_bytes(&ledger.to_bytes()).expect("a ledger's own bytes");
        prop_assert_eq!(back.balance(Span::ALL), ledger.balance(Span::ALL));
        for (found, held) in back.holdings().iter().zip(ledger.holdings()) {
            prop_assert_eq!((&found.place, &found.lot, &found.events), (&held.place, &held.lot, &held.events));
        }
        prop_assert_eq!(back.to_bytes(), again.to_bytes());
        let flows: PureAlcohol = ledger.flows(Span::ALL).iter().map(|flow| flow.alcohol).sum();
        let moved: PureAlcohol = (1..).zip(&taken)
            .filter(|(number, _)| ledger.corrected_by(*number).is_none())
            .map(|(_, entry)| entry.moved()).sum();
        prop_assert_eq!(flows, moved);
        for stage in river(&again.balance(Span::ALL), &again.flows(Span::ALL)) {
            let sum = |parts: &[(PlaceKind, PureAlcohol)]| parts.iter().map(|part| part.1).sum::<PureAlcohol>();
            let away: PureAlcohol = stage.away.iter().map(|part| part.1).sum();
            prop_assert_eq!(stage.through(), sum(&stage.went).plus(away).plus(sum(&stage.stays)));
        }
    }

    #[test]
    fn prop_the_balance_of_spans_adds_up(cut in 0_i64..80) {
        let whole = ledger(&chain());
        let at = chain()[0].act_ms + cut * 60_000;
        let first = whole.balance(Span { from_ms: i64::MIN, upto_ms: at });
        let second = whole.balance(Span { from_ms: at + 1, upto_ms: i64::MAX });
        let all = whole.balance(Span::ALL);
        prop_assert_eq!(first.closing, second.opening);
        prop_assert_eq!(first.came().plus(second.came()), all.came());
        prop_assert_eq!(first.gone_in_all().plus(second.gone_in_all()), all.gone_in_all());
        prop_assert_eq!(first.off.plus(second.off), PureAlcohol::ZERO);
    }
}

fn ledger_of(entries: &[Entry]) -> Ledger {
    ledger(entries)
}

#[test]
fn prop_a_correction_leaves_what_it_corrects_and_the_book_before_it() {
    let mut entries = chain();
    let before = ledger(&entries);
    let mut right = entries[7].clone();
    right.corrects = Some(8);
    right.note = Some("one bottle miscounted".into());
    right.to[0].bottles = Some(4);
    entries.push(right);
    let after = ledger(&entries);
    assert_eq!(after.corrected_by(8), Some(10));
    assert_eq!((before.balance(Span::ALL).bottles, after.balance(Span::ALL).bottles), (5, 4));
    // The book as it stood before is that of the entries up to there.
    assert_eq!(ledger(&entries[..9]).balance(Span::ALL), before.balance(Span::ALL));
    // Nothing of a text is lost on its way through the record.
    for entry in &entries {
        let text = serde_json::to_string(entry).unwrap();
        assert_eq!(&serde_json::from_str::<Entry>(&text).unwrap(), entry, "{text}");
    }
}

#[test]
fn prop_bytes_that_are_no_ledgers_are_refused_and_a_ledgers_own_forget_nothing() {
    let mut entries = chain();
    entries[1].key = Some("asked once".into());
    entries[2].spent = Some(Spent { energy_kwh: Some(9.5), water_l: None, cost: Some(3.25) });
    entries[3].not_explained_sd_l = Some(0.0125);
    let mut close = entry(EntryKind::Close, 90, &[], &[]);
    close.note = Some("the month".into());
    entries.push(close);
    let whole = ledger(&entries);
    let bytes = whole.to_bytes();
    let back = Ledger::of_bytes(&bytes).expect("a ledger");
    assert_eq!(back.to_bytes(), bytes);
    assert_eq!((back.closed(), back.of_key("asked once")), (whole.closed(), Some(2)));
    assert_eq!(back.balance(Span::ALL), whole.balance(Span::ALL));
    let lots = |ledger: &Ledger| {
        ledger.lots().map(|(lot, all)| (lot.clone(), all.count())).collect::<Vec<_>>()
    };
    assert_eq!(lots(&back), lots(&whole));
    // Cut off anywhere, or with more behind, they are none; changed anywhere, nothing panics, and
    // what is still read is a ledger of its own bytes.
    for end in 0..bytes.len() {
        assert!(Ledger::of_bytes(&bytes[..end]).is_none(), "cut off at {end}");
    }
    assert!(Ledger::of_bytes(&[&bytes[..], &[0]].concat()).is_none());
    for at in 0..bytes.len() {
        for change in [1, 0x40, 0x80, 0xff] {
            let mut other = bytes.clone();
            other[at] ^= change;
            if let Some(read) = Ledger::of_bytes(&other) {
                assert!(Ledger::of_bytes(&read.to_bytes()).is_some(), "byte {at}");
            }
        }
    }
}

#[test]
fn the_chain_from_sugar_to_bottle_closes_with_every_loss_named() {
    let balance = ledger(&chain()).balance(Span::ALL);
    assert_eq!(balance.off, PureAlcohol::ZERO);
    assert_eq!(balance.came().to_string(), "3.000000000");
    assert_eq!(balance.not_explained.to_string(), "0.150000000");
    let gone: Vec<String> =
        balance.gone.iter().map(|(place, alcohol)| format!("{place} {alcohol}")).collect();
    assert_eq!(
        gone,
        [
            "sample:gauge 0.005000000",
            "removed:sold 0.276000000",
            "loss:bottling 0.015000000",
            "loss:carbon 0.090000000",
            "loss:residue 0.400000000",
            "loss:transfer 0.010000000",
            "loss:vapour 0.100000000",
            "loss:wash 0.050000000",
        ]
    );
    assert_eq!((balance.bottles, balance.bottled.to_string().as_str()), (5, "1.380000000"));
}
