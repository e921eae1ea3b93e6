//! A test that needs the writing connection: the disk fills up.

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
        let writer = store.writer().unwrap();
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
    assert_eq!(store.length(&run).unwrap(), kept);
    store.verify().unwrap();
    limit(1000);
    assert_eq!(store.append(&run, &entry, NOW_MS, NOW_MS).unwrap(), kept + 1);
    store.verify().unwrap();
}
