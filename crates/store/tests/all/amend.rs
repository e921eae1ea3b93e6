//! Taken back, corrected, begun as one act, left out, kept under a name; records of the earlier
//! version; runs out and in again.
#![expect(clippy::unwrap_used, reason = "a helper that fails fails its test")]

use crate::common::NOW_MS;
use sense::Action;
use still::plan::{StepKind, TakeOff};
use store::{
    BegunStep, CheckList, Entry, KeptPlan, NewRun, RequestKey, RunId, RunMode, RunStatus, Store,
    StoreError,
};

struct House {
    room: tempfile::TempDir,
    store: Store,
}

fn house() -> House {
    let room = tempfile::tempdir().unwrap();
    let store = Store::open(room.path()).unwrap();
    House { room, store }
}

fn say(store: &Store, run: &RunId, entries: Vec<Entry>) -> i64 {
    let entries: Vec<_> = entries.into_iter().map(|entry| (NOW_MS, entry)).collect();
    store.append_all(run, &entries, NOW_MS).unwrap()
}

fn take_off(rate: f64) -> Action {
    Action::TakeOff { take_off: TakeOff::MlPerMin(rate), measured: false }
}

#[test]
fn a_correction_stands_beside_what_it_corrects_and_takes_its_place() {
    let House { store, .. } = house();
    let run = store.create_run(&crate::common::new_run(), NOW_MS).unwrap();
    let wrong = say(&store, &run, vec![Entry::Action(60.0, take_off(110.0))]);
    let right = say(
        &store,
        &run,
        vec![Entry::Corrected { entry: wrong }, Entry::Action(60.0, take_off(11.0))],
    );
    let state = store.run(&run).unwrap();
    assert_eq!(state.rows.actions, [(60.0, take_off(11.0))]);
    assert_eq!(state.corrected.get(&wrong), Some(&right));
    assert_eq!(store.entries(&run, 0, 9).unwrap().len(), 4, "nothing is rubbed out");
    for no_such in [0, 1, 99] {
        let entry = Entry::Corrected { entry: no_such };
        assert!(store.append(&run, &entry, NOW_MS, NOW_MS).unwrap_err().is_bad_input());
    }
}

#[test]
fn a_begun_step_is_withdrawn_whole() {
    let House { store, .. } = house();
    let run = store.create_run(&crate::common::new_run(), NOW_MS).unwrap();
    let begun = BegunStep { step: 1, after: 0, entries: 3 };
    let last = say(
        &store,
        &run,
        vec![
            Entry::Keyed(RequestKey {
                key: "tap".into(),
                entries: 4,
                answer: 1,
                rows: None,
                asked: None,
            }),
            Entry::Begun(begun),
            Entry::Action(60.0, Action::Step { kind: StepKind::Hearts }),
            Entry::Action(60.0, take_off(20.0)),
            Entry::Action(60.0, Action::Jar { number: 1 }),
            Entry::Action(61.0, Action::Here),
        ],
    );
    let state = store.run(&run).unwrap();
    assert_eq!(state.keys[0].1.key, "tap");
    assert_eq!((state.groups[0].begun, state.groups[0].entries.clone()), (3, 4..=6));
    assert_eq!(last, 7);
    say(&store, &run, vec![Entry::Withdrawn { entry: 3 }]);
    let state = store.run(&run).unwrap();
    assert_eq!(state.rows.actions, [(61.0, Action::Here)]);
    store.verify().unwrap();
}

#[test]
fn an_abandoned_run_says_why_and_is_a_state_of_its_own() {
    let House { store, .. } = house();
    let run = store.create_run(&crate::common::new_run(), NOW_MS).unwrap();
    let reason = "a hose came off".to_owned();
    let started = Entry::Started { started_ms: NOW_MS, steady: None };
    let given_up = Entry::Abandoned { time_s: 60.0, reason: reason.clone() };
    say(&store, &run, vec![started, given_up, Entry::Ended(crate::common::end())]);
    let summary = store.runs(false).unwrap().remove(0);
    assert_eq!((summary.status, summary.abandoned), (RunStatus::Abandoned, Some(reason)));
    assert!(store.running("Test still").unwrap().is_empty());
}

#[test]
fn a_check_list_jar_sizes_and_a_name_are_of_the_run() {
    let House { store, .. } = house();
    let run = store.create_run(&crate::common::new_run(), NOW_MS).unwrap();
    let list = CheckList { ticked: vec!["Coolant runs".into()], by: Some("A. B.".into()) };
    let named = Entry::Named { name: "Plum, second run".into() };
    let sizes = [(9.0, 250.0), (99.0, 500.0)].map(|(time_s, ml)| Entry::JarSize { time_s, ml });
    let [small, large] = sizes;
    let last = say(&store, &run, vec![Entry::Checks(list.clone()), small, large, named]);
    say(&store, &run, vec![Entry::Withdrawn { entry: last - 1 }]);
    let state = store.run(&run).unwrap();
    assert_eq!(state.checks.last().unwrap().1, list);
    assert_eq!(state.jar_sizes.last().unwrap().1, 250.0, "the last one was taken back");
    assert_eq!(state.summary.title, "Plum, second run");
    assert_eq!(state.folder().plan.title, "Plum, second run", "kept on the way out");
}

#[test]
fn plans_are_kept_by_name_and_the_last_of_a_name_holds() {
    let House { store, .. } = house();
    let kept = |name: &str, litres: f64| {
        let mut plan = crate::common::plan();
        plan.charge.litres = litres;
        KeptPlan { name: name.to_owned(), plan }
    };
    store.keep_plan(&kept("Plum", 20.0), NOW_MS).unwrap();
    store.keep_plan(&kept("Apple", 18.0), NOW_MS).unwrap();
    store.keep_plan(&kept("Plum", 19.0), NOW_MS).unwrap();
    assert_eq!(store.plans().unwrap(), [kept("Apple", 18.0), kept("Plum", 19.0)]);
    store.drop_plan("Apple", NOW_MS).unwrap();
    assert_eq!(store.plans().unwrap(), [kept("Plum", 19.0)]);
    assert!(matches!(store.drop_plan("Apple", NOW_MS), Err(StoreError::NoPlan { .. })));
    assert!(store.keep_plan(&kept("", 19.0), NOW_MS).unwrap_err().is_bad_input());
    assert!(store.runs(false).unwrap().is_empty());
}

#[test]
fn the_record_names_the_still_and_the_house_of_every_entry() {
    let House { room, store } = house();
    let run = store.create_run(&crate::common::new_run(), NOW_MS).unwrap();
    say(&store, &run, vec![Entry::Started { started_ms: NOW_MS, steady: None }]);
    let rehearsal = RunMode::Rehearsal { speed: 1.0, seed: 1, attendant: false, scale: false };
    let mut example = NewRun::new(crate::common::plan(), rehearsal, true);
    example.plan.still.name = "Barn still".into();
    store.create_run(&example, NOW_MS).unwrap();
    drop(store);
    let database = rusqlite::Connection::open(room.path().join("middlecut.sqlite")).unwrap();
    let mut query = database.prepare("SELECT site_id, still_id FROM entry ORDER BY rowid").unwrap();
    let places: Vec<(String, String)> = query
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    let place = |site: &str, still: &str| (site.to_owned(), still.to_owned());
    let own = place("own house", "Test still");
    assert_eq!(places, [own.clone(), own, place("example house", "Barn still")]);
}

#[test]
fn regress_a_record_of_the_earlier_version_opens_reads_and_goes_on() {
    let room = tempfile::tempdir().unwrap();
    let fixture = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let fixture = fixture.join("tests/fixtures/record_v1.sqlite");
    std::fs::copy(fixture, room.path().join("middlecut.sqlite")).unwrap();
    let store = Store::open(room.path()).unwrap();
    assert!(store.own_still().unwrap().is_some());
    let run = store.runs(false).unwrap().remove(0).id;
    let state = store.run(&run).unwrap();
    assert_eq!(state.rows.actions, crate::common::rows().actions[1..], "one was taken back");
    assert_eq!(state.events[0].1, crate::common::event());
    say(&store, &run, vec![Entry::Named { name: "Old one".into() }]);
    assert_eq!(store.run(&run).unwrap().summary.title, "Old one");
    store.verify().unwrap();
}

#[test]
fn regress_a_record_of_version_4_opens_verifies_and_goes_on() {
    let room = tempfile::tempdir().unwrap();
    let fixture = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let fixture = fixture.join("tests/fixtures/record_v4.sqlite");
    std::fs::copy(&fixture, room.path().join("middlecut.sqlite")).unwrap();
    let store = Store::open(room.path()).unwrap();
    store.verify().unwrap();
    assert_eq!(store.plans().unwrap().len(), 1);
    let summary = store.runs(false).unwrap().remove(0);
    assert_eq!(summary.title, "Of version 4");
    let state = store.run(&summary.id).unwrap();
    assert_eq!((state.rows.readings.len(), state.keys.len()), (6, 1));
    say(&store, &summary.id, vec![Entry::Named { name: "Old one".into() }]);
    drop(store);
    // It goes back as a backup too, and what was written since is named.
    assert_eq!(Store::restore(room.path(), &fixture).unwrap().losses.len(), 1);
    Store::open(room.path()).unwrap().accept_losses("put back", None, NOW_MS).unwrap();
    Store::open(room.path()).unwrap().verify().unwrap();
}

#[test]
fn real_or_rehearsed_goes_out_with_a_run_and_comes_in_with_it() {
    let House { room, store } = house();
    let other = house();
    let seed = u64::MAX;
    for (mode, rehearsed) in [
        (RunMode::Real, false),
        (RunMode::Rehearsal { speed: 1.0, seed, attendant: true, scale: true }, true),
    ] {
        let mut new = NewRun::new(crate::common::plan(), mode, false);
        new.plan.title = format!("{mode:?}").replace(['{', '}'], "");
        let run = store.create_run(&new, NOW_MS).unwrap();
        say(&store, &run, vec![Entry::Readings(crate::common::rows().readings)]);
        let dir = room.path().join(run.as_str());
        store.export(&run, &dir).unwrap();
        let back = other.store.import(&dir, NOW_MS).unwrap();
        let summary = other.store.run(&back).unwrap().summary;
        assert_eq!((summary.mode, summary.rehearsed()), (RunMode::Imported, Some(rehearsed)));
        assert_eq!(summary.status, RunStatus::Ended, "an imported run is over");
        let origin = summary.origin.unwrap();
        assert_eq!(origin.run.as_deref(), Some(run.as_str()));
        assert_eq!(origin.seed, rehearsed.then_some(seed));
        // The second time, and into the record it comes from, it is refused by name.
        for (store, there) in [(&other.store, &back), (&store, &run)] {
            let refused = store.import(&dir, NOW_MS + 5).unwrap_err();
            assert!(matches!(refused, StoreError::AlreadyThere { .. }), "{refused}");
            assert!(refused.to_string().contains(there.as_str()), "{refused}");
        }
    }
    // A folder of before has no such file; it is read, and twice the same is refused too.
    let run = store.runs(false).unwrap().remove(0).id;
    let old = room.path().join("old");
    store.export(&run, &old).unwrap();
    std::fs::remove_file(old.join("record.toml")).unwrap();
    let third = house();
    let back = third.store.import(&old, NOW_MS).unwrap();
    assert_eq!(third.store.run(&back).unwrap().summary.rehearsed(), None);
    assert!(matches!(third.store.import(&old, NOW_MS), Err(StoreError::AlreadyThere { .. })));
}

#[test]
fn a_folder_that_was_changed_after_it_was_written_is_not_taken_for_the_run() {
    let House { room, store } = house();
    let run = store.create_run(&crate::common::new_run(), NOW_MS).unwrap();
    say(&store, &run, vec![Entry::Readings(crate::common::rows().readings)]);
    let dir = room.path().join("out");
    store.export(&run, &dir).unwrap();
    let table = dir.join("readings.csv");
    let text = std::fs::read_to_string(&table).unwrap().replacen("17", "18", 1);
    std::fs::write(&table, text).unwrap();
    assert!(matches!(store.import(&dir, NOW_MS), Err(StoreError::Altered)));
    std::fs::remove_file(dir.join("record.toml")).unwrap();
    store.import(&dir, NOW_MS).unwrap();
}
