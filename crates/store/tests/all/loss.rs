//! A record that lost its end, its file or its seal says so, keeps what lay there, and goes on once a
//! person has said that the loss is known.
#![expect(clippy::unwrap_used, reason = "a helper that fails fails its test")]

use std::path::Path;

use crate::common::NOW_MS;
use sense::Action;
use store::{Entry, LOST_CODE, RunId, Store, StoreError};

/// A record of one run of 21 entries as a killed program leaves it: its log is not folded in.
fn left_behind(to: &Path) -> RunId {
    let room = tempfile::tempdir().unwrap();
    let store = Store::open(room.path()).unwrap();
    let run = store.create_run(&crate::common::new_run(), NOW_MS).unwrap();
    say(&store, &run, 20);
    for ending in ["sqlite", "sqlite-wal", "seal"] {
        let name = format!("middlecut.{ending}");
        std::fs::copy(room.path().join(&name), to.join(&name)).unwrap();
    }
    run
}

fn say(store: &Store, run: &RunId, times: u32) {
    for second in 0..times {
        let entry = Entry::Action(f64::from(second), Action::Note { text: "here".into() });
        store.append(run, &entry, NOW_MS, NOW_MS).unwrap();
    }
}

fn kept(dir: &Path) -> Vec<String> {
    Store::open_read_only(dir).unwrap().kept_files()
}

#[test]
fn a_torn_log_names_the_first_lost_entry_keeps_what_lay_there_and_is_accepted() {
    let room = tempfile::tempdir().unwrap();
    let run = left_behind(room.path());
    let log = room.path().join("middlecut.sqlite-wal");
    let bytes = std::fs::read(&log).unwrap();
    std::fs::write(&log, &bytes[..bytes.len() * 2 / 3]).unwrap();

    let store = Store::open(room.path()).unwrap();
    let [loss] = store.losses().unwrap().try_into().unwrap();
    let last = store.length(&run).unwrap();
    assert_eq!((loss.run.as_ref(), loss.first_lost, loss.acknowledged), (Some(&run), last + 1, 21));
    assert!(loss.to_string().contains(&format!("entries {} to 21", last + 1)), "{loss}");
    let names = ["middlecut.kept-1.seal", "middlecut.kept-1.sqlite", "middlecut.kept-1.sqlite-wal"];
    assert_eq!(store.kept_files(), names);

    store.note_losses(NOW_MS).unwrap();
    store.note_losses(NOW_MS).unwrap();
    let told = store.run(&run).unwrap().events;
    assert_eq!(told.iter().filter(|(_, event)| event.code == LOST_CODE).count(), 1);
    say(&store, &run, 3);
    drop(store);

    // It is no new loss when the program starts again, and its first entry stays known.
    let store = Store::open(room.path()).unwrap();
    assert_eq!(store.kept_files().len(), 3);
    assert_eq!(store.losses().unwrap()[0].first_lost, last + 1);
    let refused = store.verify().unwrap_err();
    assert_eq!((refused.run, refused.entry), (run.to_string(), last + 1));

    assert!(matches!(store.accept_losses(" ", None, NOW_MS), Err(StoreError::Entry { .. })));
    assert_eq!(store.accept_losses("the card was pulled", Some("Wren"), NOW_MS).unwrap(), 1);
    assert_eq!(store.accept_losses("the card was pulled", None, NOW_MS).unwrap(), 0);
    assert_eq!(store.verify().unwrap().losses_accepted, 1);
    let [loss] = store.losses().unwrap().try_into().unwrap();
    assert_eq!(loss.accepted.unwrap().1.as_deref(), Some("Wren"));

    // The next one is another.
    say(&store, &run, 1);
    let file = room.path().join("middlecut.sqlite");
    store.backup(&room.path().join("copy")).unwrap();
    say(&store, &run, 2);
    drop(store);
    std::fs::copy(room.path().join("copy"), &file).unwrap();
    let store = Store::open(room.path()).unwrap();
    assert_eq!(store.losses().unwrap().iter().filter(|loss| loss.accepted.is_none()).count(), 1);
    assert!(store.verify().is_err());
}

#[test]
fn prop_a_log_torn_anywhere_opens_and_what_is_lost_is_named() {
    for tenth in 0..10 {
        let room = tempfile::tempdir().unwrap();
        let run = left_behind(room.path());
        let log = room.path().join("middlecut.sqlite-wal");
        let bytes = std::fs::read(&log).unwrap();
        let cut = bytes.len() * tenth / 10 + tenth * 7;
        let mut torn = bytes[..cut].to_vec();
        // A sector that was written and one that was not.
        torn.extend(vec![0xa5; 512 * (tenth % 3)]);
        std::fs::write(&log, torn).unwrap();
        let store = Store::open(room.path()).unwrap();
        let length = store.length(&run).unwrap_or(0);
        let losses = store.losses().unwrap();
        assert_eq!(losses.len(), usize::from(length < 21), "cut at {cut}");
        assert!(losses.iter().all(|loss| loss.first_lost == length + 1), "cut at {cut}");
        store.accept_losses("a power cut", None, NOW_MS).unwrap();
        store.verify().unwrap();
    }
}

#[test]
fn a_record_that_is_gone_is_named_and_a_log_without_it_is_kept() {
    let room = tempfile::tempdir().unwrap();
    let run = left_behind(room.path());
    std::fs::remove_file(room.path().join("middlecut.sqlite")).unwrap();
    let store = Store::open(room.path()).unwrap();
    let [loss] = store.losses().unwrap().try_into().unwrap();
    assert_eq!((loss.run, loss.first_lost, loss.acknowledged), (Some(run), 1, 21));
    assert_eq!(store.kept_files(), ["middlecut.kept-1.sqlite-wal"]);
    store.note_losses(NOW_MS).unwrap();
    assert!(store.verify().is_err());
    store.accept_losses("a new disk", None, NOW_MS).unwrap();
    store.verify().unwrap();
}

#[test]
fn a_seal_that_was_changed_is_said_and_one_that_never_reached_the_disk_is_not() {
    for (bytes, said) in [(&b"what is this"[..], true), (&[0; 160][..], false), (&b""[..], false)] {
        let room = tempfile::tempdir().unwrap();
        let run = left_behind(room.path());
        std::fs::write(room.path().join("middlecut.seal"), bytes).unwrap();
        let store = Store::open(room.path()).unwrap();
        let losses = store.losses().unwrap();
        assert_eq!(losses.len(), usize::from(said), "{losses:?}");
        assert_eq!(store.length(&run).unwrap(), 21);
        assert_eq!(store.verify().is_err(), said);
        store.accept_losses("somebody wrote over it", None, NOW_MS).unwrap();
        store.verify().unwrap();
        say(&store, &run, 1);
        drop(store);
        Store::open(room.path()).unwrap().verify().unwrap();
        assert_eq!(kept(room.path()).len(), if said { 3 } else { 0 });
    }
}

#[test]
fn a_damaged_page_leaves_a_record_that_can_be_read_and_takes_nothing() {
    let room = tempfile::tempdir().unwrap();
    let run = left_behind(room.path());
    let file = room.path().join("middlecut.sqlite");
    drop(Store::open(room.path()).unwrap());
    let whole = std::fs::read(&file).unwrap();
    let pages = whole.len() / 4096;
    for page in 0..pages {
        let mut bytes = whole.clone();
        bytes[page * 4096..(page + 1) * 4096].fill(0x5a);
        std::fs::write(&file, &bytes).unwrap();
        assert!(matches!(Store::open(room.path()), Err(StoreError::Damaged { .. })), "page {page}");
        let store = Store::open_to_serve(room.path()).unwrap();
        assert_eq!(store.trouble().unwrap().code, "record_damaged", "page {page}");
        // Nothing fails to be read, and what is gone is named.
        let runs = store.runs(false).unwrap();
        let length = store.length(&run).unwrap_or(0);
        assert_eq!(runs.len(), usize::from(length > 0));
        assert_eq!(store.losses().unwrap().len(), usize::from(length < 21), "page {page}");
        let refused = store.append(&run, &Entry::Action(1.0, Action::Here), NOW_MS, NOW_MS);
        assert!(matches!(refused, Err(StoreError::Unrecorded(_))), "{refused:?}");
        assert_eq!(std::fs::read(&file).unwrap(), bytes, "the damaged file is left as it is");
    }
}

#[test]
fn a_folder_that_takes_nothing_shows_what_is_there() {
    let room = tempfile::tempdir().unwrap();
    let run = left_behind(room.path());
    // Where no lock can be made nothing can be written; the superuser may write anywhere else.
    std::fs::create_dir(room.path().join("middlecut.lock")).unwrap();
    let store = Store::open_to_serve(room.path()).unwrap();
    assert_eq!(store.trouble().unwrap().code, "file_unreadable");
    assert_eq!(store.length(&run).unwrap(), 21, "with what only the log has");
    assert!(store.losses().unwrap().is_empty());
    assert!(store.create_run(&crate::common::new_run(), NOW_MS).is_err());
    let empty = tempfile::tempdir().unwrap();
    std::fs::create_dir(empty.path().join("middlecut.lock")).unwrap();
    assert!(Store::open_to_serve(empty.path()).is_err(), "there is nothing to show");
}

#[test]
fn a_second_server_is_refused_and_the_first_goes_on() {
    let room = tempfile::tempdir().unwrap();
    let store = Store::open_to_serve(room.path()).unwrap();
    let second = Store::open_to_serve(room.path());
    assert!(matches!(second, Err(StoreError::Locked { .. })));
    store.create_run(&crate::common::new_run(), NOW_MS).unwrap();
}
