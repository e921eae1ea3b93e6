//! The digest printed outside finds a record that was made again from the start; a backup goes back
//! in the record's place, and what it has not is named.
#![expect(clippy::unwrap_used, reason = "a helper that fails fails its test")]

use std::path::Path;

use crate::common::NOW_MS;
use sense::Action;
use store::{Anchor, Entry, RunId, Store, StoreError};

/// Two runs written by turns, with that remark in the middle.
fn written(dir: &Path, remark: &str) -> (Store, RunId) {
    let store = Store::open(dir).unwrap();
    let one = store.create_run(&crate::common::new_run(), NOW_MS).unwrap();
    let other = store.create_run(&crate::common::new_run(), NOW_MS + 60_000).unwrap();
    let say = |run: &RunId, text: &str| {
        let entry = Entry::Action(1.0, Action::Note { text: text.into() });
        store.append(run, &entry, NOW_MS, NOW_MS).unwrap();
    };
    say(&other, "begun");
    say(&one, remark);
    say(&other, "over");
    (store, one)
}

#[test]
fn a_record_made_again_is_found_by_a_digest_from_outside() {
    let (room, forged) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let (store, run) = written(room.path(), "as it was");
    let head = store.head().unwrap();
    assert_eq!((head.entries, head.digest.len()), (5, 64));
    assert_eq!(store.verify().unwrap().digest, head.digest);
    let of_run = store.run_head(&run).unwrap();
    // Every chain of it holds, and yet it is another.
    let (again, _) = written(forged.path(), "as it should have been");
    again.verify().unwrap();
    for digest in [&head.digest, &of_run.digest] {
        assert_eq!(again.anchor(digest).unwrap(), None);
    }
    assert_eq!(store.anchor(&head.digest).unwrap(), Some(Anchor::Record(5)));
    let place = Anchor::Entry(run.to_string(), of_run.entries);
    assert_eq!(store.anchor(&of_run.digest).unwrap(), Some(place));
}

#[test]
fn a_digest_holds_however_much_is_written_after_it() {
    let room = tempfile::tempdir().unwrap();
    let (store, run) = written(room.path(), "early");
    let head = store.head().unwrap();
    store.append(&run, &Entry::Action(2.0, Action::Here), NOW_MS, NOW_MS).unwrap();
    assert_ne!(store.head().unwrap().digest, head.digest);
    assert_eq!(store.anchor(&head.digest).unwrap(), Some(Anchor::Record(5)));
    let spoken = format!("{} {}", &head.digest[..16].to_uppercase(), &head.digest[16..40]);
    assert_eq!(store.anchor(&spoken).unwrap(), Some(Anchor::Record(5)));
    for none in ["", "abc", &head.digest[..31], "x", &format!("{}0", head.digest)] {
        assert!(matches!(store.anchor(none), Err(StoreError::Entry { .. })), "{none}");
    }
}

#[test]
fn a_backup_is_whole_or_not_there_and_writes_over_nothing() {
    let room = tempfile::tempdir().unwrap();
    let (store, _) = written(room.path(), "kept");
    let file = room.path().join("copy.sqlite");
    // What an earlier one left half done is in nobody's way.
    std::fs::write(room.path().join("copy.sqlite.part"), "half").unwrap();
    let head = store.backup(&file).unwrap();
    assert_eq!(head, store.head().unwrap());
    assert!(!room.path().join("copy.sqlite.part").exists());
    let copy = Store::open_file_read_only(&file).unwrap();
    assert!(store.is_sealed() && !copy.is_sealed());
    assert_eq!(copy.verify().unwrap(), store.verify().unwrap());
    let before = std::fs::read(&file).unwrap();
    assert!(matches!(store.backup(&file), Err(StoreError::Io { .. })));
    assert_eq!(std::fs::read(&file).unwrap(), before);
    assert!(store.backup(&room.path().join("nowhere").join("copy")).is_err());
}

#[test]
fn a_backup_goes_back_and_what_it_has_not_is_named() {
    let room = tempfile::tempdir().unwrap();
    let data = room.path().join("data");
    let (store, run) = written(&data, "kept");
    let file = room.path().join("copy.sqlite");
    store.backup(&file).unwrap();
    store.append(&run, &Entry::Action(2.0, Action::Here), NOW_MS, NOW_MS).unwrap();
    assert!(matches!(Store::restore(&data, &file), Err(StoreError::Locked { .. })));
    drop(store);
    let restored = Store::restore(&data, &file).unwrap();
    assert_eq!(restored.head.entries, 5);
    assert_eq!(restored.kept, ["middlecut.kept-1.seal", "middlecut.kept-1.sqlite"]);
    let [loss] = restored.losses.try_into().unwrap();
    assert_eq!((loss.run, loss.first_lost, loss.acknowledged), (Some(run.clone()), 3, 3));
    let store = Store::open(&data).unwrap();
    assert_eq!(store.losses().unwrap().len(), 1);
    assert_eq!(store.kept_files().len(), 2, "what is known to be lost is kept once");
    store.accept_losses("put back", None, NOW_MS).unwrap();
    store.append(&run, &Entry::Action(2.0, Action::Here), NOW_MS, NOW_MS).unwrap();
    store.verify().unwrap();
    drop(store);

    // A backup that does not verify changes nothing.
    let mut bytes = std::fs::read(&file).unwrap();
    let at = bytes.windows(4).position(|window| window == b"kept").unwrap();
    bytes[at] ^= 1;
    std::fs::write(&file, bytes).unwrap();
    assert!(matches!(Store::restore(&data, &file), Err(StoreError::NotWhole(_))));
    assert_eq!(Store::open_read_only(&data).unwrap().verify().unwrap().entries, 7);
    // Into a folder with nothing, and from the record itself.
    let own = data.join("middlecut.sqlite");
    let fresh = room.path().join("fresh");
    assert_eq!(Store::restore(&fresh, &own).unwrap().losses, []);
    assert!(matches!(Store::restore(&data, &own), Err(StoreError::Entry { .. })));
}
