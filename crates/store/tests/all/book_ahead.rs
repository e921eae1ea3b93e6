//! The account that lies beside the record: it says what the entries say, or nothing.

use std::path::{Path, PathBuf};

use account::{Entry, EntryKind, Ledger, Leg, Name, Numbered, Place, PureAlcohol};
use store::Store;

use crate::common::NOW_MS;

/// More than are entered before the account is laid beside them.
const MANY: i64 = 510;

fn leg(place: &str, lot: &str, nanolitres: i64) -> Leg {
    let lot = (!lot.is_empty()).then(|| Name::new(lot).expect("a name"));
    Leg::new(Place::of_text(place).expect("a place"), lot, PureAlcohol::of_nanolitres(nanolitres))
}

/// A tank that something is drawn from again and again.
fn entries(nanolitres: i64) -> Vec<Entry> {
    (0..MANY)
        .map(|n| {
            let first = n == 0;
            let kind = if first { EntryKind::Receive } else { EntryKind::Sample };
            let mut entry = Entry::new(kind, NOW_MS + n * 1000, "Ada");
            let (from, to, much) = if first {
                (leg("received:mill", "", 0), leg("tank:T1", "A", 0), 1_000_000_000)
            } else {
                (leg("tank:T1", "A", 0), leg("sample:taste", "", 0), nanolitres)
            };
            let alcohol = PureAlcohol::of_nanolitres(much);
            (entry.from, entry.to) = (vec![Leg { alcohol, ..from }], vec![Leg { alcohol, ..to }]);
            entry
        })
        .collect()
}

fn filled(dir: &Path, nanolitres: i64) -> PathBuf {
    let store = Store::open(dir).expect("a record");
    store.enter_all(&entries(nanolitres), NOW_MS).expect("they fit");
    let file = dir.join("middlecut.account");
    assert!(file.is_file(), "nothing lies beside {MANY} entries");
    // More than lies there: the rest is read.
    let more = entries(nanolitres)[1].clone();
    store
        .enter(|_| Ok(Entry { act_ms: NOW_MS + 900_000, ..more }), NOW_MS + 900_000)
        .expect("it fits");
    file
}

fn told(dir: &Path) -> Vec<u8> {
    let store = Store::open_read_only(dir).expect("a record");
    store.account(Ledger::to_bytes).expect("a book")
}

#[test]
fn prop_the_account_beside_the_record_says_what_the_entries_say_or_is_not_believed() {
    let (room, other) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let (file, other_file) = (filled(room.path(), 1_000), filled(other.path(), 2_000));
    let with = told(room.path());
    Store::open_read_only(room.path()).unwrap().verify().unwrap();
    let own = std::fs::read(&file).unwrap();
    std::fs::remove_file(&file).unwrap();
    let without = told(room.path());
    assert!(with == without, "the account beside the record says something else than its entries");

    // Of another house, cut off, changed anywhere: the entries are read.
    let foreign = std::fs::read(&other_file).unwrap();
    let mut changed = vec![foreign, own[..own.len() - 1].to_vec(), Vec::new()];
    for at in [0, 30, 70, own.len() - 1] {
        let mut bytes = own.clone();
        bytes[at] ^= 1;
        changed.push(bytes);
    }
    for bytes in changed {
        std::fs::write(&file, &bytes).unwrap();
        assert!(told(room.path()) == without, "{} bytes were believed", bytes.len());
    }

    // Made to be believed: the record says that it does not follow from it.
    let mut false_account = Ledger::default();
    for (number, entry) in (1..).zip(entries(2_000)) {
        false_account.take(&Numbered { number, entry }).unwrap();
    }
    let (head, rest) = own.split_at(28);
    let forged = [&rest[32..96], &false_account.to_bytes()[..]].concat();
    let forged = [head, blake3::hash(&forged).as_bytes(), &forged].concat();
    std::fs::write(&file, forged).unwrap();
    let said = Store::open_read_only(room.path()).unwrap().verify().unwrap_err();
    assert!(said.to_string().contains("middlecut.account"), "{said}");
    assert!(said.to_string().contains("remove"), "{said}");
}
