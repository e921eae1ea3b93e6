//! What the account refuses, each with field, value and bound.

use account::{AccountError, Count, Counted, Entry, EntryKind, Ledger, Name, Place, PureAlcohol};

use crate::support::{DAY, MINUTE, chain, entry, ledger, put};

fn refused(made: &Entry) -> AccountError {
    ledger(&chain()).judge(made).expect_err("it must be refused")
}

#[test]
#[expect(clippy::too_many_lines, reason = "a table of cases")]
fn every_bad_entry_is_refused_by_name() {
    use EntryKind::{
        Bottle, Charge, Close, Ferment, Lose, Reduce, Remove, StockTake, Transfer, Void,
    };
    let from_g1 = |amount: &str| {
        entry(Remove, 99, &[&format!("tank:T2/G1={amount}")], &[&format!("removed:x={amount}")])
    };
    let change = |mut made: Entry, change: &dyn Fn(&mut Entry)| {
        change(&mut made);
        made
    };
    let table: Vec<(&str, &str, Entry)> = vec![
        ("more than is there", "from", from_g1("0.200000001")),
        (
            "from a lot nobody knows",
            "from",
            entry(Transfer, 99, &["tank:T9/X=1"], &["tank:T2/G1=1"]),
        ),
        ("out is not in", "to", entry(Transfer, 99, &["tank:T2/G1=0.1"], &["tank:T1/G1=0.2"])),
        (
            "a place it does not take from",
            "from",
            entry(Bottle, 99, &["feints:F/F1=0.1"], &["bottles:s/B=0.1"]),
        ),
        (
            "a place it does not bring to",
            "to",
            entry(Charge, 99, &["feints:F/F1=0.1"], &["bottles:s/B=0.1"]),
        ),
        (
            "from where it is gone",
            "from",
            entry(Transfer, 99, &["loss:spill=0.1"], &["tank:T1/A=0.1"]),
        ),
        ("nothing comes from anywhere", "from", entry(Ferment, 99, &[], &[])),
        (
            "a loss without a word",
            "note",
            change(entry(Lose, 99, &["tank:T2/G1=0.1"], &["loss:spill=0.1"]), &|made| {
                made.note = None;
            }),
        ),
        (
            "a correction without a reason",
            "note",
            change(from_g1("0.1"), &|made| made.corrects = Some(9)),
        ),
        (
            "a correction of what is not there",
            "corrects",
            change(from_g1("0.1"), &|made| {
                made.corrects = Some(77);
                made.note = Some("wrong".into());
            }),
        ),
        ("taken back, and nothing named", "corrects", entry(Void, 99, &[], &[])),
        (
            "about an entry that is not there",
            "corrects",
            change(from_g1("0.1"), &|made| made.about = Some(0)),
        ),
        ("stock without a lot", "lot", change(from_g1("0.1"), &|made| made.from[0].lot = None)),
        (
            "a loss with a lot",
            "lot",
            change(from_g1("0.1"), &|made| made.to[0].lot = Some(Name::new("L").unwrap())),
        ),
        ("nobody", "by", change(from_g1("0.1"), &|made| made.people.entered = " ".into())),
        ("two lines", "note", change(from_g1("0.1"), &|made| made.note = Some("a\nb".into()))),
        ("before 1970", "act_ms", change(from_g1("0.1"), &|made| made.act_ms = -1)),
        (
            "after its entry",
            "act_ms",
            change(from_g1("0.1"), &|made| made.act_ms += 3 * 60 * MINUTE),
        ),
        ("no zone", "zone", change(from_g1("0.1"), &|made| made.zone_minutes = 900)),
        (
            "negative",
            "pure_alcohol_l",
            change(from_g1("0.1"), &|made| made.from[0].alcohol = PureAlcohol::of_nanolitres(-1)),
        ),
        (
            "too strong",
            "strength_vol",
            change(from_g1("0.1"), &|made| made.to[0].strength_vol = Some(100.1)),
        ),
        (
            "no litres",
            "litres_20c",
            change(from_g1("0.1"), &|made| made.to[0].litres_20c = Some(f64::NAN)),
        ),
        (
            "too many bottles",
            "bottles",
            change(from_g1("0.1"), &|made| made.to[0].bottles = Some(2_000_000)),
        ),
        (
            "no bottle",
            "bottle_ml",
            change(from_g1("0.1"), &|made| made.to[0].bottle_ml = Some(0.0)),
        ),
        (
            "energy below none",
            "energy_kwh",
            change(from_g1("0.1"), &|made| {
                made.spent =
                    Some(account::Spent { energy_kwh: Some(-1.0), ..account::Spent::default() });
            }),
        ),
        ("a count of nothing", "counted", entry(StockTake, 99, &[], &[])),
        (
            "a count beside another book",
            "counted",
            change(entry(StockTake, 99, &["tank:T2/G1=0.1"], &["loss:spill=0.1"]), &|made| {
                let (found, book) =
                    (PureAlcohol::of_text("0.1").unwrap(), PureAlcohol::of_text("0.3").unwrap());
                made.counted = Some(Counted { found, book });
            }),
        ),
        (
            "a count that moves another difference",
            "counted",
            change(entry(StockTake, 99, &["tank:T2/G1=0.1"], &["loss:spill=0.1"]), &|made| {
                let (found, book) =
                    (PureAlcohol::of_text("0.15").unwrap(), PureAlcohol::of_text("0.2").unwrap());
                made.counted = Some(Counted { found, book });
            }),
        ),
        (
            "a closing that moves",
            "from",
            entry(Close, 99, &["tank:T2/G1=0.1"], &["loss:spill=0.1"]),
        ),
        // Late, but its act stands before the bottling: what was bottled later is not there twice.
        (
            "a late one that starves a later one",
            "from",
            entry(Remove, 55, &["tank:T2/G1=0.3"], &["removed:x=0.3"]),
        ),
        ("before it came", "from", entry(Reduce, 5, &["tank:T1/H1=0.1"], &["tank:T1/X=0.1"])),
    ];
    for (what, field, made) in table {
        let error = refused(&made);
        assert_eq!(error.field(), field, "{what}: {error}");
        assert!(!error.hint().is_empty() && !error.to_string().is_empty(), "{what}");
    }
}

#[test]
fn names_and_places_that_are_none_are_refused() {
    for place in [
        "", "tank", "tank:", "tank:a b", "loss", "loss:fun", "moon:x", "tank:a/b", "jar:\n",
        "Tank:T1",
    ] {
        let error = Place::of_text(place).expect_err(place);
        assert!(!error.hint().is_empty(), "{place}");
    }
    for name in ["", "a b", "a/b", "a|b", "é".repeat(41).as_str(), "a,b"] {
        assert!(Name::new(name).is_err(), "{name}");
    }
    assert!(Name::new("J-2026.014_é#2").is_ok());
    for text in [
        "{\"kind\":\"dance\"}",
        "{\"kind\":\"lose\",\"act_ms\":1,\"entered_ms\":1,\"zone\":0,\"people\":{\"by\":\"A\"},\"more\":1}",
    ] {
        assert!(serde_json::from_str::<Entry>(text).is_err(), "{text}");
    }
}

#[test]
fn a_correction_may_not_leave_a_later_act_without_its_alcohol() {
    let mut book = ledger(&chain());
    let mut smaller = chain()[3].clone();
    smaller.corrects = Some(4);
    smaller.note = Some("misread".into());
    smaller.to =
        vec![crate::support::leg("tank:T1/H1=1.6"), crate::support::leg("loss:transfer=0.1")];
    let error = book.judge(&smaller).unwrap_err();
    assert_eq!(
        error.to_string(),
        "tank:T1/H1 would hold -0.090000000 L of pure alcohol after entry 6 (in the order of the acts): no place may hold less than 0"
    );
    let mut gone = entry(EntryKind::Void, 90, &[], &[]);
    gone.corrects = Some(9);
    gone.note = Some("was not sold".into());
    put(&mut book, &gone);
    assert_eq!(book.judge(&gone).unwrap_err().field(), "corrects", "it does not hold any more");
    gone.corrects = Some(10);
    assert_eq!(book.judge(&gone).unwrap_err().field(), "corrects", "what takes back stays");
}

#[test]
fn a_closed_period_takes_nothing_and_gives_nothing_back() {
    let mut book = ledger(&chain());
    let now = Entry::new(EntryKind::Close, DAY + 100 * MINUTE, "Ada");
    assert!(book.close(now.act_ms + 1, now.clone()).is_err(), "it is not over");
    let closing = book.close(DAY + 65 * MINUTE, now.clone()).unwrap();
    put(&mut book, &closing);
    let late = entry(EntryKind::Feints, 64, &["tank:T2/G1=0.1"], &["feints:F/F1=0.1"]);
    assert_eq!(book.judge(&late), Err(AccountError::Closed { closed: 10 }));
    let mut gone = entry(EntryKind::Void, 99, &[], &[]);
    gone.corrects = Some(8);
    gone.note = Some("wrong".into());
    assert_eq!(book.judge(&gone), Err(AccountError::Closed { closed: 10 }));
    gone.corrects = Some(9);
    assert_eq!(book.judge(&gone), Ok(()), "the sale is of the open period");
    assert_eq!(book.close(DAY + 64 * MINUTE, now).unwrap_err().field(), "act");
}

#[test]
fn a_count_is_corrected_against_what_the_book_had_without_it() {
    let mut book = ledger(&[entry(EntryKind::Receive, 0, &["received=2"], &["tank:T1/A=2"])]);
    let count = |found: &str, lost_to: Option<&str>| Count {
        place: Place::of_text("tank:T1").unwrap(),
        lot: Name::new("A").unwrap(),
        found: PureAlcohol::of_text(found).unwrap(),
        lost_to: lost_to.map(|place| Place::of_text(place).unwrap()),
    };
    let at = entry(EntryKind::StockTake, 5, &[], &[]);
    let first = book.stock_take(&count("1.5", Some("loss:spill")), at.clone()).unwrap();
    put(&mut book, &first);
    put(&mut book, &entry(EntryKind::Sample, 9, &["tank:T1/A=0.25"], &["sample:nose=0.25"]));
    let mut again = at;
    (again.corrects, again.note) = (Some(2), Some("read the wrong mark".into()));
    let right = book.stock_take(&count("1.75", None), again.clone()).unwrap();
    let counted = right.counted.unwrap();
    assert_eq!((counted.book.litres(), right.moved().litres()), (2.0, 0.25));
    put(&mut book, &right);
    let now = |book: &Ledger| book.holdings().iter().find(|one| one.lot.is_some()).unwrap().now();
    assert_eq!(now(&book).litres(), 1.5);
    again.corrects = Some(2);
    assert!(book.stock_take(&count("2", None), again).is_err(), "corrected already");
}

#[test]
fn a_count_explains_its_difference_or_says_that_nobody_can() {
    let book = ledger(&chain());
    let count = |found: &str, lost_to: Option<&str>| Count {
        place: Place::of_text("tank:T2").unwrap(),
        lot: Name::new("G1").unwrap(),
        found: PureAlcohol::of_text(found).unwrap(),
        lost_to: lost_to.map(|place| Place::of_text(place).unwrap()),
    };
    let moment = Entry::new(EntryKind::StockTake, DAY + 99 * MINUTE, "Ada");
    for (found, lost_to, ends) in [
        ("0.18", Some("loss:evaporation"), "loss:evaporation 0.020000000"),
        ("0.18", None, "not_explained 0.020000000"),
        ("0.25", None, "tank:T2 0.050000000"),
        ("0.2", None, "not_explained 0.000000000"),
    ] {
        let made = book.stock_take(&count(found, lost_to), moment.clone()).unwrap();
        assert_eq!(format!("{} {}", made.to[0].place, made.to[0].alcohol), ends);
        let mut after = book.clone();
        put(&mut after, &made);
        let held =
            after.held(&count(found, None).place, Some(&count(found, None).lot), (i64::MAX, 0));
        assert_eq!(held, PureAlcohol::of_text(found).unwrap());
    }
}
