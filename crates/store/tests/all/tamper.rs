//! Whatever is changed behind the program's back is found and named.
#![expect(clippy::unwrap_used, reason = "a helper that fails fails its test")]

use std::path::{Path, PathBuf};

use crate::common::NOW_MS;
use rusqlite::Connection;
use sense::Action;
use store::{Entry, RunId, Store, VerifyFailure};

struct Record {
    room: tempfile::TempDir,
    runs: Vec<RunId>,
}

/// Three runs of twelve entries each, closed.
fn record() -> Record {
    let room = tempfile::tempdir().unwrap();
    let store = Store::open(room.path()).unwrap();
    let mut runs = Vec::new();
    for n in 0..3 {
        let run = store.create_run(&crate::common::new_run(), NOW_MS + n * 60_000).unwrap();
        for second in 0..11 {
            let text = format!("remark {second} of run {n}");
            let entry = Entry::Action(f64::from(second), Action::Note { text });
            store.append(&run, &entry, NOW_MS, NOW_MS).unwrap();
        }
        runs.push(run);
    }
    Record { room, runs }
}

impl Record {
    /// Runs SQL on the file with its guards taken off, then verifies read-only.
    fn after(&self, sql: &str) -> VerifyFailure {
        let file = self.room.path().join("middlecut.sqlite");
        let connection = Connection::open(file).unwrap();
        let guards: Vec<String> = connection
            .prepare("SELECT name FROM sqlite_master WHERE type = 'trigger'")
            .unwrap()
            .query_map([], |row| row.get(0))
            .unwrap()
            .collect::<Result<_, _>>()
            .unwrap();
        assert_eq!(guards.len(), 7);
        for guard in guards {
            connection.execute_batch(&format!("DROP TRIGGER {guard}")).unwrap();
        }
        let changed = connection.execute_batch(sql).map(|()| connection.total_changes());
        assert!(changed.unwrap() > 0, "{sql} changed nothing");
        drop(connection);
        Store::open_read_only(self.room.path()).unwrap().verify().expect_err(sql)
    }

    fn run(&self, n: usize) -> &str {
        self.runs[n].as_str()
    }
}

#[test]
fn a_whole_record_passes() {
    let record = record();
    let store = Store::open_read_only(record.room.path()).unwrap();
    let report = store.verify().unwrap();
    assert_eq!((report.runs, report.entries), (3, 36));
}

#[test]
fn every_column_of_an_entry_is_under_the_digest() {
    let changes = [
        ("payload", "replace(payload, 'remark 4', 'remark 5')"),
        ("payload", "x'ff'"),
        ("payload", "7"),
        ("measured_ms", "measured_ms + 1"),
        ("stored_ms", "stored_ms - 1"),
        ("kind", "'jar'"),
        ("payload_version", "1"),
        ("site_id", "'site-2'"),
        ("still_id", "'still-2'"),
        ("previous_digest", "digest"),
        ("digest", "previous_digest"),
    ];
    for (column, value) in changes {
        let record = record();
        let run = record.run(1).to_owned();
        let failure = record.after(&format!(
            "UPDATE entry SET {column} = {value} WHERE run_id = '{run}' AND number = 6"
        ));
        assert_eq!((failure.run, failure.entry), (run, 6), "{column}: {}", failure.what);
    }
}

#[test]
fn missing_moved_and_added_entries_are_named() {
    let of = |n: usize, sql: &str| {
        let record = record();
        let failure = record.after(&sql.replace("RUN", record.run(n)));
        assert_eq!(failure.run, record.run(n), "{sql}");
        failure.entry
    };
    assert_eq!(of(0, "DELETE FROM entry WHERE run_id = 'RUN' AND number = 4"), 4);
    assert_eq!(of(2, "DELETE FROM entry WHERE run_id = 'RUN' AND number > 9"), 10);
    assert_eq!(of(1, "DELETE FROM entry WHERE run_id = 'RUN'"), 1);
    let swap = "UPDATE entry SET number = 99 WHERE run_id = 'RUN' AND number = 4;
                UPDATE entry SET number = 4 WHERE run_id = 'RUN' AND number = 5;
                UPDATE entry SET number = 5 WHERE run_id = 'RUN' AND number = 99";
    assert_eq!(of(0, swap), 4);
    let copy = "INSERT INTO entry SELECT site_id, still_id, run_id, 13, kind, payload_version,
                measured_ms, stored_ms, payload, digest, digest FROM entry
                WHERE run_id = 'RUN' AND number = 12";
    assert_eq!(of(1, copy), 13);
    let shorter = "DELETE FROM entry WHERE run_id = 'RUN' AND number = 12;
                   UPDATE head SET entries = 11 WHERE run_id = 'RUN'";
    assert_eq!(of(1, shorter), 11);
}

#[test]
fn a_missing_run_is_found_wherever_it_stood() {
    for n in 0..3 {
        let record = record();
        let run = record.run(n);
        let failure = record.after(&format!(
            "DELETE FROM entry WHERE run_id = '{run}'; DELETE FROM head WHERE run_id = '{run}'"
        ));
        let next = record.runs.get(n + 1).map_or("-", RunId::as_str);
        assert_eq!(failure.run, next, "{}", failure.what);
        assert!(failure.what.contains("missing") || failure.what.contains("follow"), "{failure}");
    }
}

#[test]
fn the_database_itself_refuses_to_rub_out() {
    let record = record();
    let connection = Connection::open(record.room.path().join("middlecut.sqlite")).unwrap();
    for sql in [
        "UPDATE entry SET payload = '{}'",
        "DELETE FROM entry",
        "DELETE FROM head",
        "DELETE FROM seal",
        "UPDATE head SET entries = entries - 1",
        "UPDATE seal SET runs = 0",
        "INSERT INTO entry SELECT site_id, still_id, run_id, number + 5, kind, payload_version,
         measured_ms, stored_ms, payload, previous_digest, digest FROM entry",
    ] {
        let error = connection.execute_batch(sql).unwrap_err();
        assert!(error.to_string().contains("record"), "{sql}: {error}");
    }
    Store::open_read_only(record.room.path()).unwrap().verify().unwrap();
}

/// One plain file with all of the record in it.
fn one_file(record: &Record) -> PathBuf {
    let file = record.room.path().join("copy.sqlite");
    Store::open_read_only(record.room.path()).unwrap().backup(&file).unwrap();
    file
}

#[test]
fn a_changed_byte_in_the_file_is_named() {
    let record = record();
    let file = one_file(&record);
    let mut bytes = std::fs::read(&file).unwrap();
    let words = b"remark 7 of run 2";
    let at = bytes.windows(words.len()).position(|window| window == words).unwrap();
    bytes[at + 7] ^= 1;
    std::fs::write(&file, bytes).unwrap();
    let failure = Store::open_file_read_only(&file).unwrap().verify().unwrap_err();
    assert_eq!((failure.run.as_str(), failure.entry), (record.run(2), 9), "{failure}");
}

/// All that can be read out of a record, or none where it refuses.
fn everything(file: &Path) -> Option<Vec<store::RunState>> {
    let store = Store::open_file_read_only(file).ok()?;
    store.verify().ok()?;
    store.runs(false).ok()?.iter().map(|run| store.run(&run.id).ok()).collect()
}

#[test]
fn prop_a_changed_byte_is_found_or_changes_nothing_that_is_read() {
    let record = record();
    let file = one_file(&record);
    let sound = std::fs::read(&file).unwrap();
    let whole = everything(&file).unwrap();
    // A stride coprime to the page size walks over every kind of place in a page.
    let (mut found, mut tried) = (0, 0);
    for at in (0..sound.len()).step_by(211) {
        let mut bytes = sound.clone();
        bytes[at] ^= 1 << (at % 8);
        let damaged = record.room.path().join("damaged.sqlite");
        std::fs::write(&damaged, bytes).unwrap();
        tried += 1;
        match everything(&damaged) {
            None => found += 1,
            Some(read) => assert_eq!(read, whole, "byte {at} changed the record unseen"),
        }
    }
    assert!(found * 4 > tried, "only {found} of {tried} changed bytes mattered");
}

#[test]
fn a_log_that_lost_its_end_is_found_even_where_the_database_is_sound() {
    let room = tempfile::tempdir().unwrap();
    let file = room.path().join("middlecut.sqlite");
    let store = Store::open(room.path()).unwrap();
    let run = store.create_run(&crate::common::new_run(), NOW_MS).unwrap();
    let mut second = 0.0;
    let mut say = |store: &Store| {
        second += 1.0;
        store.append(&run, &Entry::Action(second, Action::Here), NOW_MS, NOW_MS).unwrap()
    };
    say(&store);
    drop(store);
    let older = std::fs::read(&file).unwrap();
    let store = Store::open(room.path()).unwrap();
    say(&store);
    assert_eq!(say(&store), 4);
    store.verify().unwrap();
    drop(store);
    assert!(!room.path().join("middlecut.sqlite-wal").exists(), "closed in order");
    std::fs::write(&file, older).unwrap();
    let lost = |failure: VerifyFailure| (failure.run, failure.entry);
    let found = Store::open_read_only(room.path()).unwrap().verify().unwrap_err();
    assert_eq!(lost(found), (run.to_string(), 3));
    // Writing goes on over the loss; the loss stays on record.
    let store = Store::open(room.path()).unwrap();
    say(&store);
    assert_eq!(lost(store.verify().unwrap_err()), (run.to_string(), 3));
    say(&store);
    drop(store);
    let found = Store::open(room.path()).unwrap().verify().unwrap_err();
    assert_eq!(found.run, run.to_string());
}

#[test]
fn a_changed_byte_in_the_write_ahead_log_is_found() {
    let room = tempfile::tempdir().unwrap();
    let store = Store::open(room.path()).unwrap();
    let run = store.create_run(&crate::common::new_run(), NOW_MS).unwrap();
    for second in 0..20 {
        let entry = Entry::Action(f64::from(second), Action::Note { text: "here".into() });
        store.append(&run, &entry, NOW_MS, NOW_MS).unwrap();
    }
    // What a killed process leaves behind: the files as they lie while it still runs.
    let left = tempfile::tempdir().unwrap();
    for ending in ["sqlite", "sqlite-wal", "seal"] {
        let name = format!("middlecut.{ending}");
        std::fs::copy(room.path().join(&name), left.path().join(&name)).unwrap();
    }
    assert_eq!(Store::open(left.path()).unwrap().verify().unwrap().entries, 21);
    for ending in ["sqlite", "sqlite-wal", "seal"] {
        let name = format!("middlecut.{ending}");
        std::fs::copy(room.path().join(&name), left.path().join(&name)).unwrap();
    }
    let log = left.path().join("middlecut.sqlite-wal");
    let mut bytes = std::fs::read(&log).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    std::fs::write(&log, bytes).unwrap();
    let failure = Store::open_read_only(left.path()).unwrap().verify().unwrap_err();
    assert_eq!(failure.run, run.to_string(), "{failure}");
    assert!((2..=21).contains(&failure.entry), "{failure}");
}
