//! The log: what goes in comes out, nothing is rubbed out, one process writes.
#![expect(clippy::unwrap_used, reason = "a helper that fails fails its test")]

use crate::common::NOW_MS;
use sense::Action;
use still::plan::{Filling, Measured};
use store::{Entry, OwnStillRecord, RunId, RunMode, RunStatus, Store, StoreError};

struct House {
    room: tempfile::TempDir,
    store: Store,
}

fn house() -> House {
    let room = tempfile::tempdir().unwrap();
    let store = Store::open(room.path()).unwrap();
    House { room, store }
}

fn attended(store: &Store) -> RunId {
    let run = store.create_run(&crate::common::new_run(), NOW_MS).unwrap();
    let rows = crate::common::rows();
    let mut entries = vec![
        (NOW_MS, Entry::Started { started_ms: NOW_MS, steady: None }),
        (NOW_MS, Entry::Readings(rows.readings)),
        (NOW_MS, Entry::Event(crate::common::event())),
    ];
    entries.extend(rows.actions.into_iter().map(|(t, action)| (NOW_MS, Entry::Action(t, action))));
    entries.extend(rows.jars.into_iter().map(|jar| (NOW_MS, Entry::Jar(jar))));
    entries.push((NOW_MS, Entry::Ended(crate::common::end())));
    store.append_all(&run, &entries, NOW_MS + 5).unwrap();
    run
}

#[test]
fn entries_come_back_as_they_went_in() {
    let House { room, store } = house();
    let run = attended(&store);
    let written = store.entries(&run, 0, 1000).unwrap();
    assert_eq!(written.len(), 20);
    assert!(written.iter().zip(1..).all(|(logged, number)| logged.number == number));
    assert_eq!(written[2].entry, Entry::Readings(crate::common::rows().readings));
    assert_eq!((written[2].measured_ms, written[2].stored_ms), (NOW_MS, NOW_MS + 5));
    assert_eq!(store.entries(&run, 18, 1).unwrap(), written[18..19]);
    drop(store);
    let again = Store::open(room.path()).unwrap();
    assert_eq!(again.entries(&run, 0, 1000).unwrap(), written);
    let state = again.run(&run).unwrap();
    assert_eq!(state.rows, crate::common::rows());
    assert_eq!(state.events, [(4, crate::common::event())]);
    assert_eq!(state.summary.status, RunStatus::Ended);
    assert_eq!(state.summary.ended, Some(crate::common::end()));
    assert_eq!(state.last_entry, 20);
}

#[test]
fn the_list_keeps_the_example_house_apart_and_goes_by_time() {
    let House { store, .. } = house();
    let first = store.create_run(&crate::common::new_run(), NOW_MS).unwrap();
    let rehearsal =
        RunMode::Rehearsal { speed: 600.0, seed: u64::MAX, attendant: true, scale: false };
    let example = store::NewRun::new(crate::common::plan(), rehearsal, true);
    let example_id = store.create_run(&example, NOW_MS + 1000).unwrap();
    let last = store.create_run(&crate::common::new_run(), NOW_MS + 2000).unwrap();
    assert!(first < example_id && example_id < last, "ids sort by time");
    let ids = |example| -> Vec<RunId> {
        store.runs(example).unwrap().into_iter().map(|run| run.id).collect()
    };
    assert_eq!(ids(false), [first.clone(), last]);
    assert_eq!(ids(true), std::slice::from_ref(&example_id));
    let state = store.run(&example_id).unwrap();
    assert_eq!((state.summary.mode, state.speed), (rehearsal, Some(600.0)));
    store.append(&example_id, &Entry::Speed { time_s: 9.0, speed: 0.0 }, NOW_MS, NOW_MS).unwrap();
    assert_eq!(store.run(&example_id).unwrap().speed, Some(0.0));
    let twin = store.create_run(&crate::common::new_run(), NOW_MS).unwrap();
    assert_ne!(twin, first, "two runs of one instant have two ids");
}

#[test]
fn an_undone_action_stays_in_the_log_and_leaves_the_run() {
    let House { room, store } = house();
    let run = store.create_run(&crate::common::new_run(), NOW_MS).unwrap();
    let say = |entry| store.append(&run, &entry, NOW_MS, NOW_MS);
    let wrong = say(Entry::Action(5.0, Action::Jar { number: 1 })).unwrap();
    let right = say(Entry::Action(6.0, Action::Jar { number: 2 })).unwrap();
    let jar = say(Entry::Jar(crate::common::jar(1))).unwrap();
    say(Entry::Jar(crate::common::jar(2))).unwrap();
    say(Entry::Withdrawn { entry: wrong }).unwrap();
    say(Entry::Withdrawn { entry: jar }).unwrap();
    for no_such in [0, 1, 99, -1] {
        let error = say(Entry::Withdrawn { entry: no_such }).unwrap_err();
        assert!(error.is_bad_input(), "{error}");
    }
    let state = store.run(&run).unwrap();
    assert_eq!(state.rows.actions, [(6.0, Action::Jar { number: 2 })]);
    assert_eq!(state.action_entries, [right]);
    assert_eq!(state.rows.jars, [crate::common::jar(2)]);
    assert_eq!(store.entries(&run, 0, 99).unwrap().len(), 7, "nothing is rubbed out");
    let corrected = sense::JarRecord { volume_ml: 300.0, ..crate::common::jar(2) };
    say(Entry::Jar(corrected.clone())).unwrap();
    let dir = room.path().join("out");
    store.export(&run, &dir).unwrap();
    let folder = store::folder::read(&dir).unwrap();
    assert_eq!(folder.rows.jars, [corrected], "the last record of a jar counts");
}

#[test]
fn a_run_goes_out_and_comes_back_the_same() {
    let House { room, store } = house();
    let run = attended(&store);
    let dir = room.path().join("out");
    store.export(&run, &dir).unwrap();
    let mut folder = store::folder::read(&dir).unwrap();
    assert_eq!(folder.rows, crate::common::rows());
    // The plan's start gives way to the true one, in the plan's own zone.
    assert_eq!(store::time::parse_start(&folder.plan.start), Some((NOW_MS, 120)));
    folder.outcome = Some(serde_json::json!({ "stages": 9.5, "fault": null }));
    let other = house();
    let back = other.store.import_folder(folder.clone(), NOW_MS + 9000).unwrap();
    let state = other.store.run(&back).unwrap();
    assert_eq!(state.folder(), folder);
    assert_eq!(state.summary.mode, RunMode::Imported);
    assert!(store.import(&room.path().join("nothing"), NOW_MS).unwrap_err().is_bad_input());
    assert_eq!(other.store.runs(false).unwrap().len(), 1);
}

#[test]
fn the_own_still_is_the_last_one_written() {
    let House { room, store } = house();
    assert_eq!(store.own_still().unwrap(), None);
    let mut own = OwnStillRecord {
        still: crate::common::plan().still,
        defaulted: vec!["stages".to_owned()],
        measured: Measured::default(),
    };
    store.set_own_still(&own, NOW_MS).unwrap();
    own.still.stages = 9.5;
    own.defaulted.clear();
    own.measured = Measured { filling: Some(Filling::Pieces(5.0)), ..Measured::default() };
    store.set_own_still(&own, NOW_MS).unwrap();
    assert_eq!(store.own_still().unwrap(), Some(own.clone()));
    own.still.stages = f64::NAN;
    assert!(store.set_own_still(&own, NOW_MS).unwrap_err().is_bad_input());
    assert!(store.runs(false).unwrap().is_empty(), "the house is no run");
    assert_eq!(store.verify().unwrap().entries, 2);
    drop(store);
    assert!(Store::open(room.path()).unwrap().own_still().unwrap().is_some());
}

#[test]
fn what_a_folder_could_not_hold_is_refused_and_leaves_no_trace() {
    let House { store, .. } = house();
    let run = store.create_run(&crate::common::new_run(), NOW_MS).unwrap();
    let head = |head_c: f64| sense::Reading::default().with(sense::Probe::Head, head_c);
    let wrong = [
        Entry::Readings(vec![(0.0, head(78.0)), (1.0, head(f64::NAN))]),
        Entry::Readings(vec![(-1.0, head(78.0))]),
        Entry::Action(f64::INFINITY, Action::Here),
        Entry::Action(0.0, Action::Heater { watts: -1.0 }),
        Entry::Action(0.0, Action::Seen { code: "two words".into() }),
        Entry::Action(0.0, Action::Note { text: "x".repeat(5000) }),
        Entry::Jar(sense::JarRecord { apparent_vol: Some(300.0), ..crate::common::jar(1) }),
        Entry::Speed { time_s: 0.0, speed: 1e9 },
        Entry::Opened(Box::new(crate::common::new_run())),
        Entry::OwnStill(Box::new(OwnStillRecord {
            still: crate::common::plan().still,
            defaulted: Vec::new(),
            measured: Measured::default(),
        })),
        Entry::Readings(vec![(0.0, head(78.123456789)); 200_000]),
    ];
    for entry in wrong {
        let error = store.append(&run, &entry, NOW_MS, NOW_MS).unwrap_err();
        assert!(error.is_bad_input() && !error.hint().is_empty(), "{error}");
    }
    let batch = [
        (NOW_MS, Entry::Action(0.0, Action::Here)),
        (NOW_MS, Entry::Speed { time_s: 0.0, speed: -1.0 }),
    ];
    store.append_all(&run, &batch, NOW_MS).unwrap_err();
    assert_eq!(store.length(&run).unwrap(), 1, "all or none");
    let gone = RunId::new("20990101-000000-0000");
    let error = store.append(&gone, &Entry::Action(0.0, Action::Here), NOW_MS, NOW_MS);
    assert!(matches!(error, Err(StoreError::NoRun { .. })));
    assert!(store.run(&gone).unwrap_err().is_bad_input());
    let mut broken = crate::common::new_run();
    broken.plan.charge.litres = -1.0;
    assert!(store.create_run(&broken, NOW_MS).unwrap_err().is_bad_input());
    store.verify().unwrap();
}

#[test]
fn one_writer_and_any_number_of_readers() {
    let House { room, store } = house();
    let run = attended(&store);
    let second = Store::open(room.path()).unwrap_err();
    assert!(matches!(second, StoreError::Locked { .. }), "{second}");
    let reader = Store::open_read_only(room.path()).unwrap();
    reader.verify().unwrap();
    reader.export(&run, &room.path().join("out")).unwrap();
    reader.backup(&room.path().join("copy.sqlite")).unwrap();
    store.append(&run, &Entry::Action(1.0, Action::Here), NOW_MS, NOW_MS).unwrap();
    assert_eq!(reader.length(&run).unwrap(), 21, "a reader sees what was acknowledged");
    let error = reader.append(&run, &Entry::Action(1.0, Action::Here), NOW_MS, NOW_MS);
    assert!(matches!(error, Err(StoreError::ReadOnly)));
    drop(store);
    Store::open(room.path()).unwrap();
}

#[test]
fn a_backup_is_the_record_in_one_file_and_is_never_written_over() {
    let House { room, store } = house();
    let run = attended(&store);
    let file = room.path().join("backup").with_extension("sqlite");
    store.backup(&file).unwrap();
    let copy = Store::open_file_read_only(&file).unwrap();
    assert_eq!(copy.verify().unwrap(), store.verify().unwrap());
    assert_eq!(copy.run(&run).unwrap(), store.run(&run).unwrap());
    assert!(!room.path().join("backup.sqlite-wal").exists());
    let before = std::fs::read(&file).unwrap();
    assert!(matches!(store.backup(&file), Err(StoreError::Io { .. })));
    assert_eq!(std::fs::read(&file).unwrap(), before);
}

#[test]
fn files_that_are_no_record_are_left_alone() {
    let room = tempfile::tempdir().unwrap();
    let file = room.path().join("middlecut.sqlite");
    let text = "this is a letter, not a database ".repeat(100);
    std::fs::write(&file, &text).unwrap();
    let error = Store::open(room.path()).unwrap_err();
    assert!(matches!(error, StoreError::Foreign { .. }), "{error}");
    assert!(matches!(Store::open_read_only(room.path()), Err(StoreError::Foreign { .. })));
    assert_eq!(std::fs::read_to_string(&file).unwrap(), text);
    std::fs::remove_file(&file).unwrap();
    assert!(matches!(Store::open_read_only(room.path()), Err(StoreError::Absent { .. })));
    let other = rusqlite::Connection::open(&file).unwrap();
    other.execute_batch("CREATE TABLE recipes (name TEXT)").unwrap();
    drop(other);
    assert!(matches!(Store::open(room.path()), Err(StoreError::Foreign { .. })));
    std::fs::remove_file(&file).unwrap();
    drop(Store::open(room.path()).unwrap());
    let newer = rusqlite::Connection::open(&file).unwrap();
    newer.pragma_update(None, "user_version", 99).unwrap();
    drop(newer);
    assert!(matches!(Store::open(room.path()), Err(StoreError::Newer { found: 99, .. })));
}
