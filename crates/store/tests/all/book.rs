//! The account in the record and as a book: kept, exported, checked, tampered with, taken back in.

use account::{
    AccountError, Counted, Entry, EntryKind, Gauge, Instrument, Leg, Name, Numbered, Place,
    PureAlcohol, Raw, Span, Spent, Unit,
};
use alcoholometry::gauge::Scale;
use proptest::prelude::*;
use quantities::TypedValue;
use store::{RunId, Store, StoreError, book};

use crate::common::{NOW_MS, new_run};

fn leg(text: &str) -> Leg {
    let (whereabouts, litres) = text.split_once('=').expect("PLACE/LOT=LITRES");
    let (place, lot) = match whereabouts.split_once('/') {
        Some((place, lot)) => (place, Some(Name::new(lot).expect("a name"))),
        None => (whereabouts, None),
    };
    let place = Place::of_text(place).expect("a place");
    Leg::new(place, lot, PureAlcohol::of_text(litres).expect("litres"))
}

fn entry(kind: EntryKind, minute: i64, from: &str, to: &[&str]) -> Entry {
    let mut entry = Entry::new(kind, NOW_MS + minute * 60_000, "Ada");
    entry.zone_minutes = 120;
    entry.from = vec![leg(from)];
    entry.to = to.iter().map(|text| leg(text)).collect();
    entry
}

fn typed(field: &str, value: f64, unit: &str) -> TypedValue {
    TypedValue { field: field.to_owned(), value, unit: unit.to_owned() }
}

/// Three entries with something in every column.
fn entries() -> Vec<Entry> {
    let mut received = entry(EntryKind::Receive, 0, "received:mill=1", &["tank:T1/A=1"]);
    received.to[0].litres_20c = Some(2.5);
    received.to[0].strength_vol = Some(40.0);
    let raw = Raw {
        quantity: 2.503,
        unit: Unit::L,
        reading: 40.1,
        scale: Scale::Vol20,
        celsius: 21.5,
        quantity_sd: Some(0.01),
    };
    let glass =
        Instrument { id: "glass 3".into(), due_ms: Some(NOW_MS), calibration: Some("p. 7".into()) };
    received.gauge = Some(Box::new(Gauge::of(raw, vec![glass]).expect("a reading")));
    received.note = Some("in \"two\" jugs, sealed".into());
    received.spirit = Some("perry".into());
    received.people.read = Some("Bo".into());
    received.people.checked = Some("Cleo".into());
    let mut bottled = entry(
        EntryKind::Bottle,
        1,
        "tank:T1/A=0.6",
        &["bottles:shelf/B=0.56", "loss:bottling=0.04"],
    );
    bottled.to[0].bottles = Some(2);
    bottled.to[0].bottle_ml = Some(700.0);
    bottled.spent = Some(Spent { cost: Some(1.25), ..Spent::default() });
    bottled.key = Some("k-1".into());
    bottled.typed = vec![
        typed("to[0].bottle_ml", 23.67, "US fl oz"),
        typed("to[0].strength_vol", 79.8, "US proof"),
    ];
    bottled.run = Some("20261003-081200-4f2a".into());
    let mut counted = entry(EntryKind::StockTake, 2, "tank:T1/A=0.01", &["not_explained=0.01"]);
    let amount = |text| PureAlcohol::of_text(text).expect("litres");
    counted.counted = Some(Counted { found: amount("0.39"), book: amount("0.4") });
    vec![received, bottled, counted]
}

fn numbered(entries: &[Entry]) -> Vec<Numbered> {
    (1..).zip(entries).map(|(number, entry)| Numbered { number, entry: entry.clone() }).collect()
}

fn table(entries: &[Numbered]) -> (String, String) {
    written(entries, false)
}

fn written(entries: &[Numbered], names_left_out: bool) -> (String, String) {
    let mut text = String::new();
    let head = book::write::<std::convert::Infallible>(
        "metric",
        names_left_out,
        &mut |piece| {
            text.push_str(piece);
            Ok(())
        },
        |line| entries.iter().try_for_each(line),
    );
    (text, head.expect("a text takes everything"))
}

#[test]
fn entries_are_kept_judged_and_read_back() {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    let run = store.create_run(&new_run(), NOW_MS).unwrap();
    for made in entries() {
        store.enter(|_| Ok(made), NOW_MS).unwrap();
    }
    let again = store.enter(|_| Ok(entries()[1].clone()), NOW_MS + 1).unwrap();
    assert_eq!(again.number, 2, "the same key changes nothing");
    let too_much = entry(EntryKind::Sample, 3, "tank:T1/A=0.5", &["sample:taste=0.5"]);
    let refused = store.enter(|_| Ok(too_much.clone()), NOW_MS).unwrap_err();
    assert!(matches!(refused, StoreError::Account(AccountError::Overdrawn { .. })), "{refused}");
    assert!(store.enter_all(&[too_much], NOW_MS).is_err());
    // The account has a log of its own, which is no run and takes nothing else.
    let foreign = store::Entry::Account(Box::new(entries()[0].clone()));
    assert!(store.append(&run, &foreign, NOW_MS, NOW_MS).is_err());
    let named = store::Entry::Named { name: "x".into() };
    assert!(store.append(&RunId::new("book"), &named, NOW_MS, NOW_MS).is_err());
    assert_eq!(store.runs(false).unwrap().len(), 1);
    assert!(store.run(&RunId::new("book")).is_err());
    drop(store);
    let store = Store::open(dir.path()).unwrap();
    assert_eq!(store.account_entries(0, 10).unwrap(), numbered(&entries()));
    assert_eq!(store.account_entries(2, 10).unwrap().len(), 1);
    assert!(store.account_entry(4).is_err() && store.account_entry(0).is_err());
    let balance = store.account(|ledger| ledger.balance(Span::ALL)).unwrap();
    assert_eq!((balance.off, balance.bottles), (PureAlcohol::ZERO, 2));
    assert_eq!(store.verify().unwrap().entries, 1 + 3);
}

#[test]
fn a_record_of_an_earlier_version_takes_the_account() {
    let fixtures = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    for fixture in ["record_v1.sqlite", "record_v4.sqlite"] {
        let dir = tempfile::tempdir().unwrap();
        std::fs::copy(fixtures.join(fixture), dir.path().join("middlecut.sqlite")).unwrap();
        let store = Store::open(dir.path()).unwrap();
        let before = store.runs(false).unwrap();
        assert_eq!(store.account(account::Ledger::length).unwrap(), 0);
        store.enter_all(&entries(), NOW_MS).unwrap();
        assert_eq!(store.runs(false).unwrap(), before);
        assert!(store.verify().is_ok(), "{fixture}");
    }
}

/// Table and page of a book without the column of what was typed, as the program wrote them on
/// 2026-11-30, beside the record they came from.
const BOOK_36: [&[u8]; 2] =
    [include_bytes!("../fixtures/book_36.csv"), include_bytes!("../fixtures/book_36.html")];

#[test]
fn regress_a_book_from_before_numbers_were_kept_as_typed_opens_verifies_and_goes_on() {
    let [csv, html] = BOOK_36;
    let report = book::verify(csv, Some(html), &[], NOW_MS);
    assert_eq!((report.faults, report.entries), (Vec::new(), 4));
    assert!(report.head.starts_with("788f0adf8671e581"), "{}", report.head);
    let at = csv.windows(5).position(|five| five == b"cask," || five == b"glass").unwrap();
    let mut changed = csv.to_vec();
    changed[at] = b'G';
    assert!(!book::verify(&changed, None, &[], NOW_MS).faults.is_empty(), "its chain still holds");
    let dirs = [tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap()];
    let fixture =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/book_36.sqlite");
    std::fs::copy(&fixture, dirs[0].path().join("middlecut.sqlite")).unwrap();
    let (old, other) = (Store::open(dirs[0].path()).unwrap(), Store::open(dirs[1].path()).unwrap());
    old.verify().unwrap();
    let whole = book::read(csv).unwrap();
    assert_eq!(old.account_entries(0, 9).unwrap(), whole.entries);
    assert_eq!(other.import_book(&whole.entries, |_| {}, NOW_MS).unwrap(), 4);
    let mut more = entry(EntryKind::Sample, 9, "tank:T1/L1=0.095", &["sample:taste=0.095"]);
    more.act_ms = 1_793_000_000_000;
    more.entered_ms = more.act_ms;
    more.typed = vec![typed("from[0].pure_alcohol_l", 0.05, "pg")];
    for store in [&old, &other] {
        let last = store.enter(|_| Ok(more.clone()), NOW_MS + 600_000).unwrap();
        assert_eq!((last.number, &last.entry.typed), (5, &more.typed));
        store.verify().unwrap();
    }
    let (new, _) = table(&old.account_entries(0, 9).unwrap());
    assert_eq!(book::read(new.as_bytes()).unwrap().entries[4].entry.typed, more.typed);
    assert!(book::page(new.as_bytes()).unwrap().contains("typed: from[0].pure_alcohol_l=0.05 pg"));
}

#[test]
fn a_book_goes_out_in_and_out_again_byte_for_byte() {
    let dirs = [tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap()];
    let out = |store: &Store| table(&store.account_entries(0, 100).unwrap());
    let first = Store::open(dirs[0].path()).unwrap();
    first.enter_all(&entries(), NOW_MS).unwrap();
    let (text, head) = out(&first);
    let other = Store::open(dirs[1].path()).unwrap();
    let whole = book::read(text.as_bytes()).unwrap();
    assert_eq!(other.import_book(&whole.entries, |_| {}, NOW_MS + 99).unwrap(), 3);
    assert_eq!(out(&other), (text, head));
    assert_eq!(other.import_book(&whole.entries, |_| {}, NOW_MS).unwrap(), 0, "all is there");
    let more = entry(EntryKind::Sample, 9, "tank:T1/A=0.1", &["sample:taste=0.1"]);
    other.enter(|_| Ok(more), NOW_MS).unwrap();
    let refused = other.import_book(&whole.entries, |_| {}, NOW_MS).unwrap_err();
    assert!(matches!(refused, StoreError::Book(_)), "{refused}");
}

#[test]
fn every_changed_byte_of_a_book_is_found_where_it_is() {
    let (text, head) = table(&numbered(&entries()));
    let whole = book::verify(text.as_bytes(), None, &[], NOW_MS);
    assert_eq!((whole.faults.as_slice(), &whole.head, whole.entries), (&[][..], &head, 3));
    let mut line = 1;
    for at in 0..text.len() {
        let mut bytes = text.clone().into_bytes();
        bytes[at] ^= if at % 2 == 0 { 1 } else { 0x20 };
        let report = book::verify(&bytes, None, &[], NOW_MS);
        let first = report.faults.first();
        let first = first.unwrap_or_else(|| panic!("byte {at} was changed and not found"));
        assert_eq!(first.line, line, "byte {at}: {first}");
        line += usize::from(text.as_bytes()[at] == b'\n');
    }
    for cut in [0, 1, text.len() / 2, text.len() - 1] {
        assert!(!book::verify(&text.as_bytes()[..cut], None, &[], NOW_MS).faults.is_empty());
    }
    let longer = format!("{text}{}\n", text.lines().nth(1).unwrap());
    assert_eq!(book::verify(longer.as_bytes(), None, &[], NOW_MS).faults[0].line, 6);
}

#[test]
fn a_printed_page_says_what_its_table_says_or_it_is_found() {
    let (text, head) = table(&numbered(&entries()));
    let page = book::page(text.as_bytes()).unwrap();
    assert!(
        page.contains(&head)
            && page.contains("no legal record")
            && page.contains("&quot;two&quot;")
            && page.contains("glass 3 (overdue then)")
    );
    // The table says the same in a column of its own, and takes no other word for it.
    let (columns, first) = (text.lines().next().unwrap(), text.lines().nth(1).unwrap());
    assert!(columns.contains(",instruments,overdue,"), "{columns}");
    assert!(first.contains("|p. 7,glass 3,"), "{first}");
    let with = |page: &[u8]| book::verify(text.as_bytes(), Some(page), &[], NOW_MS).faults;
    assert_eq!(with(page.as_bytes()), []);
    for at in (0..page.len()).step_by(97) {
        let mut bytes = page.clone().into_bytes();
        bytes[at] ^= 1;
        let line = page.as_bytes()[..at].split(|byte| *byte == b'\n').count();
        let faults = with(&bytes);
        assert_eq!((faults[0].file, faults[0].line), ("book.html", line), "byte {at}");
    }
    assert_eq!(with(&page.as_bytes()[..page.len() - 9]).len(), 1);
}

#[test]
fn a_book_without_names_has_one_number_for_one_person_and_verifies() {
    let mut made = entries();
    for (entry, name) in made.iter_mut().zip(["Ada Byron", "Bo", "Ada Byron"]) {
        entry.people.entered = name.to_owned();
        (entry.people.read, entry.people.checked) = (None, Some("Cy".to_owned()));
    }
    let (text, head) = written(&numbered(&made), true);
    let page = book::page(text.as_bytes()).unwrap();
    for name in ["Ada", "Byron", "Bo", "Cy"] {
        let whole_word =
            |text: &str| text.split(|c: char| !c.is_alphanumeric()).any(|word| word == name);
        assert!(!whole_word(&text) && !whole_word(&page), "{name} stands there");
    }
    let people: Vec<_> = book::read(text.as_bytes()).unwrap().entries;
    let people: Vec<_> = people.iter().map(|one| one.entry.people.entered.as_str()).collect();
    assert_eq!(people, ["person-1", "person-3", "person-1"]);
    let report = book::verify(text.as_bytes(), Some(page.as_bytes()), &[], NOW_MS);
    assert_eq!((report.faults, report.names_left_out, report.head), (Vec::new(), true, head));
    let forged = text.replace("names_left_out", "names_here");
    assert!(!book::verify(forged.as_bytes(), None, &[], NOW_MS).faults.is_empty());
}

#[test]
fn missing_and_doubled_serials_are_found_though_every_digest_is_made_anew() {
    let all = numbered(&entries());
    let faults = |entries: &[Numbered]| {
        let found = book::verify(table(entries).0.as_bytes(), None, &[], NOW_MS).faults;
        found.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    let third = all[2].clone();
    assert_eq!(
        faults(&[all[0].clone(), third.clone()])[0],
        "book.csv, line 3: serial 2 is missing: 3 follows 1"
    );
    let doubled = Numbered {
        number: 2,
        entry: entry(EntryKind::Sample, 2, "tank:T1/A=0.1", &["sample:x=0.1"]),
    };
    assert_eq!(
        faults(&[all[0].clone(), all[1].clone(), doubled])[0],
        "book.csv, line 4: serial 2 stands there twice"
    );
    // More goes out than came in: the balances are reckoned anew.
    let mut more = all.clone();
    more[1].entry.from[0].alcohol = PureAlcohol::of_text("1.1").unwrap();
    more[1].entry.to[1].alcohol = PureAlcohol::of_text("0.54").unwrap();
    assert!(faults(&more)[0].contains("tank:T1/A would hold -0.1"), "{:?}", faults(&more));
}

#[test]
fn a_book_that_was_written_anew_has_another_head() {
    let (_, head) = table(&numbered(&entries()));
    let mut changed = entries();
    changed[0].note = Some("in three jugs".into());
    let (text, other) = table(&numbered(&changed));
    assert!(book::verify(text.as_bytes(), None, &[], NOW_MS).faults.is_empty());
    assert_ne!(head, other, "a head that was printed outside tells them apart");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn prop_any_words_and_numbers_come_back_to_the_byte(
        words in "[^\\p{C}=+@-][^\\p{C}]{0,20}[^\\p{C} \u{a0}]", nanolitres in 1_i64..1_000_000_000_000,
        litres in 0.0_f64..1e6, minute in 0_i64..100_000, zone in -840_i32..840
    ) {
        let mut made = entries()[0].clone();
        made.note = Some(words.trim().to_owned());
        made.act_ms += minute * 1_003;
        made.entered_ms = made.act_ms + 1;
        made.zone_minutes = zone;
        made.from[0].alcohol = PureAlcohol::of_nanolitres(nanolitres);
        made.to[0].alcohol = made.from[0].alcohol;
        made.to[0].litres_20c = Some(litres);
        prop_assume!(made.check().is_ok());
        let all = numbered(&[made]);
        let (text, _) = table(&all);
        let whole = book::read(text.as_bytes()).map_err(|fault| TestCaseError::fail(fault.to_string()))?;
        prop_assert_eq!(&whole.entries, &all);
        prop_assert_eq!(table(&whole.entries).0, text);
    }
}
