//! Tests that need the writing connection: the disk fills up, another program holds the file.

#[expect(dead_code, reason = "each test crate uses its share")]
#[path = "../../tests/all/common/mod.rs"]
mod common;

use common::NOW_MS;
use sense::Action;

use super::{Entry, Store};
use crate::error::StoreError;

#[test]
fn a_full_disk_refuses_the_entry_whole_and_keeps_the_rest() {
    let room = tempfile::tempdir().unwrap();
    let store = Store::open(room.path()).unwrap();
    let run = store.create_run(&common::new_run(), NOW_MS).unwrap();
    // SQLite says "full" at a page limit as it does at the end of a disk.
    let limit = |pages: i64| {
        let writer = store.writer().unwrap().connection.lock().unwrap();
        writer.query_row(&format!("PRAGMA max_page_count = {pages}"), [], |_| Ok(())).unwrap();
    };
    limit(20);
    let entry = Entry::Action(1.0, Action::Note { text: "x".repeat(3000) });
    let mut kept = 1;
    let error = loop {
        match store.append(&run, &entry, NOW_MS, NOW_MS) {
            Ok(number) => kept = number,
            Err(error) => break error,
        }
        assert!(kept < 100, "the limit was never met");
    };
    assert!(matches!(error, StoreError::DiskFull), "{error}");
    assert_eq!(store.trouble().unwrap().code, "disk_full");
    assert_eq!(store.length(&run).unwrap(), kept);
    store.verify().unwrap();
    limit(1000);
    assert_eq!(store.append(&run, &entry, NOW_MS, NOW_MS).unwrap(), kept + 1);
    assert_eq!(store.trouble(), None, "it goes on by itself");
    store.verify().unwrap();
}

#[test]
fn a_file_that_another_program_holds_is_waited_for_and_then_said_to_be_busy() {
    let room = tempfile::tempdir().unwrap();
    let store = Store::open(room.path()).unwrap();
    let run = store.create_run(&common::new_run(), NOW_MS).unwrap();
    let entry = Entry::Action(1.0, Action::Here);
    let other = rusqlite::Connection::open(store.path()).unwrap();
    let wait = |ms: u64| {
        let writer = store.writer().unwrap().connection.lock().unwrap();
        writer.busy_timeout(std::time::Duration::from_millis(ms)).unwrap();
    };
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    wait(50);
    let refused = store.append(&run, &entry, NOW_MS, NOW_MS);
    assert!(matches!(refused, Err(StoreError::Busy)), "{refused:?}");
    store.look_again();
    assert_eq!(store.trouble().unwrap().code, "record_busy");
    other.execute_batch("COMMIT").unwrap();
    store.look_again();
    assert_eq!(store.trouble(), None);
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    wait(5000);
    std::thread::scope(|scope| {
        let waiting = scope.spawn(|| store.append(&run, &entry, NOW_MS, NOW_MS));
        std::thread::sleep(std::time::Duration::from_millis(50));
        other.execute_batch("COMMIT").unwrap();
        assert_eq!(waiting.join().unwrap().unwrap(), 2);
    });
    assert_eq!(store.trouble(), None);
}
