//! The reviewer's checks: each finds what it is for, and nothing in a clean book.

use account::{
    Check, Entry, EntryKind, Finding, Gauge, Instrument, Ledger, Numbered, PROFILES, Profile, Raw,
    Review, Unit,
};
use alcoholometry::gauge::Scale;

use crate::support::{DAY, MINUTE, chain, entry, ledger};

const HOUR: i64 = 60 * MINUTE;

fn metric() -> Profile {
    toml::from_str(PROFILES[0].1).expect("a whole profile")
}

fn findings(entries: &[Entry], now_ms: i64, authorised: &[String]) -> Vec<Finding> {
    let (profile, book): (Profile, Ledger) = (metric(), ledger(entries));
    let mut review = Review::new(&profile, &book, authorised);
    for (number, entry) in (1..).zip(entries) {
        review.take(&Numbered { number, entry: entry.clone() });
    }
    review.finish(now_ms)
}

fn litres(text: &str) -> account::PureAlcohol {
    account::PureAlcohol::of_text(text).expect("litres")
}

/// The chain without what is odd in it.
fn clean() -> Vec<Entry> {
    let mut entries = chain();
    entries[2].to[4].alcohol = litres("0.1");
    entries[2].to[5].alcohol = litres("0.1");
    entries[2].to.pop();
    entries[2].to[1].alcohol = litres("1.35");
    entries[1].from[0].alcohol = litres("2.96");
    entries[1].to[1].alcohol = litres("0.01");
    entries[6].to[0].alcohol = litres("1.68");
    entries[6].to[1].alcohol = litres("0.01");
    entries
}

#[test]
fn a_clean_book_has_nothing_odd() {
    assert_eq!(findings(&clean(), DAY + 2 * HOUR, &["Ada".into()]), []);
}

fn gauged(mut made: Entry, due_ms: Option<i64>) -> Entry {
    let raw = Raw {
        quantity: 2.0,
        unit: Unit::L,
        reading: 40.0,
        scale: Scale::Vol20,
        celsius: 20.0,
        quantity_sd: None,
    };
    let glass = Instrument { id: "glass 3".into(), due_ms, calibration: None };
    made.gauge = Some(Box::new(Gauge::of(raw, vec![glass]).expect("a reading")));
    made
}

#[test]
#[expect(clippy::too_many_lines, reason = "a table of cases")]
fn every_check_finds_what_it_is_for() {
    use EntryKind::{Receive, Reduce, Regauge, Remove, Transfer};
    let receive = || entry(Receive, 80, &["received:mill=1"], &["cask:K/K1=1"]);
    let with = |more: Vec<Entry>| clean().into_iter().chain(more).collect::<Vec<_>>();
    let change = |mut made: Entry, change: &dyn Fn(&mut Entry)| {
        change(&mut made);
        made
    };
    let soon = DAY + 2 * HOUR;
    let cases: Vec<(Check, Vec<Entry>, i64)> = vec![
        (
            Check::TwoAtOnce,
            with(vec![entry(Transfer, 60, &["tank:T2/G1=0.1"], &["tank:T3/G1=0.1"])]),
            soon,
        ),
        (
            Check::BottlesAgainstTank,
            with(vec![change(
                entry(EntryKind::Bottle, 61, &["tank:T2/G1=0.28"], &["bottles:shelf/B2=0.28"]),
                &|made| {
                    made.to[0] = account::Leg {
                        bottles: Some(2),
                        bottle_ml: Some(700.0),
                        strength_vol: Some(40.0),
                        ..made.to[0].clone()
                    };
                },
            )]),
            soon,
        ),
        (
            Check::StrongerAlone,
            with(vec![change(
                entry(Reduce, 61, &["tank:T2/G1=0.1"], &["tank:T3/X=0.1"]),
                &|made| {
                    made.from[0].strength_vol = Some(40.0);
                    made.to[0].strength_vol = Some(41.0);
                },
            )]),
            soon,
        ),
        (
            Check::LossAboveNorm,
            with(vec![entry(
                Transfer,
                61,
                &["tank:T2/G1=0.2"],
                &["tank:T3/X=0.19", "loss:transfer=0.01"],
            )]),
            soon,
        ),
        (
            Check::OverdueInstrument,
            with(vec![gauged(
                entry(Receive, 80, &["received:mill=0.8"], &["tank:T5/Z=0.8"]),
                Some(DAY),
            )]),
            soon,
        ),
        (
            Check::LateEntry,
            with(vec![change(receive(), &|made| made.entered_ms += 25 * HOUR)]),
            DAY + 30 * HOUR,
        ),
        (
            Check::TimeEdited,
            with(vec![change(
                entry(Remove, 75, &["bottles:shelf/B1=0.276"], &["removed:sold=0.276"]),
                &|made| {
                    made.corrects = Some(9);
                    made.note = Some("an hour off".into());
                },
            )]),
            soon,
        ),
        (
            Check::LotWithoutParent,
            with(vec![entry(Receive, 80, &["received=1"], &["cask:K/K1=1"])]),
            soon,
        ),
        (
            Check::GaugeMismatch,
            with(vec![change(
                gauged(entry(Receive, 80, &["received:mill=0.8"], &["tank:T5/Z=0.8"]), None),
                &|made| {
                    if let Some(gauge) = &mut made.gauge {
                        gauge.proof_gallons *= 1.004;
                    }
                },
            )]),
            soon,
        ),
        (
            Check::GaugeMismatch,
            with(vec![gauged(
                entry(Receive, 80, &["received:mill=0.9"], &["tank:T5/Z=0.9"]),
                None,
            )]),
            soon,
        ),
        (
            Check::NotExplained,
            with(vec![entry(EntryKind::Lose, 80, &["feints:F/F1=0.1"], &["not_explained=0.1"])]),
            soon,
        ),
        (Check::FeintsNotCarried, clean(), DAY + 95 * 24 * HOUR),
        (Check::MonthNotClosed, clean(), DAY + 17 * 24 * HOUR),
        (
            Check::JarWithoutFate,
            with(vec![entry(EntryKind::Gain, 80, &["found=0.1"], &["jar:9/J9=0.1"])]),
            DAY + 95 * 24 * HOUR,
        ),
        // A later entry tells of an earlier filling: the order of writing shows it.
        (
            Check::CaskOlderThanFill,
            {
                let filled = entry(Receive, 80, &["received:mill=1"], &["cask:K/K1=1"]);
                let again = change(filled.clone(), &|made| {
                    made.corrects = Some(10);
                    made.note = Some("from the mill".into());
                });
                with(vec![
                    filled,
                    entry(Regauge, 85, &["cask:K/K1=1"], &["cask:K/K1=0.97", "loss:cask=0.03"]),
                    again,
                ])
            },
            soon,
        ),
    ];
    for (check, entries, now_ms) in cases {
        let found = findings(&entries, now_ms, &[]);
        let of_it = found.iter().filter(|finding| finding.check == check).count();
        assert!(of_it >= 1, "{}: {found:?}", check.word());
    }
    let strangers = findings(&clean(), soon, &["Bertil".into()]);
    assert!(strangers.iter().all(|finding| finding.check == Check::NotAuthorised), "{strangers:?}");
    assert_eq!(strangers.len(), 9);
}

#[test]
fn a_month_closed_in_time_is_nothing_odd() {
    let mut entries = clean();
    let end_ms = DAY + 24 * HOUR - 1;
    let mut closing =
        ledger(&entries).close(end_ms, Entry::new(EntryKind::Close, end_ms + HOUR, "Ada")).unwrap();
    closing.entered_ms = end_ms + HOUR;
    entries.push(closing);
    let found = findings(&entries, DAY + 20 * 24 * HOUR, &[]);
    assert!(!found.iter().any(|finding| finding.check == Check::MonthNotClosed), "{found:?}");
}
