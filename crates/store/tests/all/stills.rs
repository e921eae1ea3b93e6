//! What was learned about stills: kept by name, in order, apart from rehearsals, never rubbed out.
#![expect(clippy::unwrap_used, reason = "a helper that fails fails its test")]

mod calibrated;

use crate::common::NOW_MS;
use estimate::{Account, AlcoholBalance, Belief, Cause, Character, Learned, Trait, Verdict};
use store::{Entry, LessonSource, NewRun, RunId, RunMode, StillLesson, Store, StoreError};

struct House {
    room: tempfile::TempDir,
    store: Store,
}

fn house() -> House {
    let room = tempfile::tempdir().unwrap();
    let store = Store::open(room.path()).unwrap();
    House { room, store }
}

fn ended(store: &Store, now_ms: i64) -> RunId {
    let run = store.create_run(&crate::common::new_run(), now_ms).unwrap();
    let entries = [
        (now_ms, Entry::Started { started_ms: now_ms, steady: None }),
        (now_ms, Entry::Readings(crate::common::rows().readings)),
        (now_ms, Entry::Event(crate::common::event())),
        (now_ms, Entry::Ended(crate::common::end())),
    ];
    store.append_all(&run, &entries, now_ms).unwrap();
    run
}

fn lesson(run: Option<&RunId>, source: LessonSource, runs: u32) -> StillLesson {
    StillLesson {
        still: "Test still".into(),
        source,
        run: run.cloned(),
        upto: if run.is_some() { 5 } else { 0 },
        character: character(runs),
        balance: balance(0.2),
    }
}

/// A belief about the heat loss after so many runs.
fn character(runs: u32) -> Character {
    let belief =
        |n: u32| vec![Belief { of: Trait::HeatLoss, mean: 0.1 * f64::from(n), sd: 1.0 / 3.0 }];
    let learned = |n: u32| Learned {
        title: format!("Run {n}"),
        start: "2026-10-03T08:12:00+02:00".into(),
        run: belief(n),
        after: belief(n),
        counted: None,
    };
    Character { beliefs: belief(runs), history: (1..=runs).map(learned).collect() }
}

/// A balance with a gap of that size.
fn balance(missing_l: f64) -> AlcoholBalance {
    let cause = Cause { code: "held_back".into(), text: "It is in the column.".into(), odds: 1.0 };
    AlcoholBalance {
        charged_l: 2.4,
        collected_l: 1.9,
        left_l: 0.5 - missing_l,
        missing_l,
        missing_sd_l: 0.05,
        causes: vec![cause],
        account: Some(Account {
            verdict: Verdict::Missing,
            not_gauged_l: 0.0,
            residue_gauged: false,
            vapour_lost_l: 0.1,
            parts: Vec::new(),
            tells_most: None,
        }),
    }
}

#[test]
fn what_runs_taught_is_kept_by_the_name_of_the_still() {
    let House { room, store } = house();
    assert_eq!(store.character("Test still").unwrap(), None);
    let (first, second) = (ended(&store, NOW_MS), ended(&store, NOW_MS + 5000));
    store.learn(&lesson(Some(&first), LessonSource::Real, 1), NOW_MS + 6000).unwrap();
    assert_eq!(store.character("Test still").unwrap(), Some(character(1)));
    let state = store.run(&first).unwrap();
    assert_eq!(state.current_balance(), Some(&balance(0.2)));
    assert!(state.summary.balanced && store.runs(false).unwrap()[0].balanced);
    assert!(!store.runs(false).unwrap()[1].balanced);
    store.learn(&lesson(Some(&second), LessonSource::Real, 2), NOW_MS + 7000).unwrap();
    store.learn(&lesson(None, LessonSource::Folder, 3), NOW_MS + 8000).unwrap();
    let known = store.still("Test still", false).unwrap().unwrap();
    let runs: Vec<_> = known.lessons.iter().map(|one| one.run.clone()).collect();
    assert_eq!(runs, [Some(first.clone()), Some(second), None]);
    assert_eq!(known.character, character(3));
    assert!(known.knows("Run 2", "2026-10-03T08:12:00+02:00") && !known.knows("Run 2", "later"));
    assert_eq!(store.still("Another still", false).unwrap(), None);
    let file = room.path().join("copy.sqlite");
    store.backup(&file).unwrap();
    let copy = Store::open_file_read_only(&file).unwrap();
    assert_eq!(copy.stills().unwrap(), store.stills().unwrap());
    assert_eq!(copy.verify().unwrap(), store.verify().unwrap());
    // The folder of a run is what was recorded: what was worked out from it stays here.
    let dir = room.path().join("out");
    store.export(&first, &dir).unwrap();
    let other = house().store;
    let back = other.import(&dir, NOW_MS).unwrap();
    assert_eq!(other.run(&back).unwrap().rows, store.run(&first).unwrap().rows);
    drop(store);
    let again = Store::open(room.path()).unwrap();
    assert_eq!(again.still("Test still", false).unwrap(), Some(known));
}

#[test]
fn a_run_that_taught_last_can_teach_again_and_no_other() {
    let House { store, .. } = house();
    let (first, second) = (ended(&store, NOW_MS), ended(&store, NOW_MS + 5000));
    let ended_ms = store.run(&first).unwrap().summary.ended_ms.unwrap();
    assert_eq!(ended_ms, NOW_MS);
    store.learn(&lesson(Some(&first), LessonSource::Real, 1), NOW_MS).unwrap();
    let known = |store: &Store| store.still("Test still", false).unwrap().unwrap();
    assert_eq!(known(&store).before(&first, ended_ms), Some(Character::default()));
    assert_eq!(known(&store).before(&second, ended_ms), Some(character(1)));
    // A jar that is gauged later makes the balance old.
    store.append(&first, &Entry::Jar(crate::common::jar(1)), NOW_MS, NOW_MS).unwrap();
    assert_eq!(store.run(&first).unwrap().current_balance(), None);
    let better = StillLesson {
        upto: 7,
        character: Character { beliefs: character(9).beliefs, ..character(1) },
        balance: balance(0.1),
        ..lesson(Some(&first), LessonSource::Real, 1)
    };
    store.learn(&better, NOW_MS).unwrap();
    assert_eq!(known(&store).character, better.character);
    assert_eq!(known(&store).lessons.len(), 1, "one lesson a run");
    assert_eq!(store.run(&first).unwrap().current_balance(), Some(&balance(0.1)));
    store.learn(&lesson(Some(&second), LessonSource::Real, 2), NOW_MS).unwrap();
    assert_eq!(known(&store).before(&first, ended_ms), None, "a later run built on it");
    assert_eq!(known(&store).before(&second, ended_ms), Some(better.character));
}

#[test]
fn after_a_change_older_runs_do_not_count_and_stay_in_the_record() {
    let House { store, .. } = house();
    let run = ended(&store, NOW_MS);
    store.learn(&lesson(Some(&run), LessonSource::Real, 1), NOW_MS + 1).unwrap();
    store.reset_still("Test still", false, "new packing", NOW_MS + 2).unwrap();
    assert_eq!(store.character("Test still").unwrap(), None);
    let known = store.still("Test still", false).unwrap().unwrap();
    assert_eq!(known.character, Character::default());
    assert!(known.lessons.is_empty());
    assert_eq!((known.resets[0].reason.as_str(), known.resets[0].lessons), ("new packing", 1));
    assert_eq!(known.resets[0].stored_ms, NOW_MS + 2);
    assert_eq!(known.before(&run, NOW_MS), None, "it was run on the still as it was");
    let later = ended(&store, NOW_MS + 9000);
    assert_eq!(known.before(&later, NOW_MS + 9000), Some(Character::default()));
    store.learn(&lesson(Some(&later), LessonSource::Real, 1), NOW_MS + 9001).unwrap();
    assert_eq!(store.character("Test still").unwrap(), Some(character(1)));
    let house = store.entries(&RunId::new("house"), 0, 99).unwrap();
    assert_eq!(house.len(), 3, "nothing is rubbed out");
    for (still, reason) in [("Nobody's still", "sold"), ("Test still", "  "), ("", "x")] {
        let error = store.reset_still(still, false, reason, NOW_MS).unwrap_err();
        assert!(error.is_bad_input() && !error.hint().is_empty(), "{error}");
    }
    store.verify().unwrap();
}

#[test]
fn rehearsals_teach_about_a_simulated_still_only() {
    let House { store, .. } = house();
    let run = ended(&store, NOW_MS);
    store.learn(&lesson(Some(&run), LessonSource::Rehearsal, 1), NOW_MS).unwrap();
    assert_eq!(store.character("Test still").unwrap(), None);
    let simulated = store.still("Test still", true).unwrap().unwrap();
    assert!(simulated.rehearsed && simulated.character == character(1));
    store.learn(&lesson(None, LessonSource::Folder, 2), NOW_MS).unwrap();
    store.reset_still("Test still", true, "start over", NOW_MS).unwrap();
    assert_eq!(store.character("Test still").unwrap(), Some(character(2)));
    assert_eq!(store.stills().unwrap().len(), 2);
}

#[test]
fn lessons_that_cannot_be_are_refused_and_leave_no_trace() {
    let House { store, .. } = house();
    let run = ended(&store, NOW_MS);
    let sound = lesson(Some(&run), LessonSource::Real, 1);
    let wild = |mean: f64, sd: f64| {
        let mut character = character(1);
        character.history[0].run[0].mean = mean;
        character.beliefs[0].sd = sd;
        StillLesson { character, ..sound.clone() }
    };
    let gone = RunId::new("20990101-000000-0000");
    let wrong = [
        wild(f64::NAN, 1.0),
        wild(0.0, f64::INFINITY),
        wild(0.0, -1.0),
        StillLesson { balance: balance(f64::NAN), ..sound.clone() },
        StillLesson { still: String::new(), ..sound.clone() },
        StillLesson { still: "x".repeat(201), ..sound.clone() },
        StillLesson { run: None, ..sound.clone() },
        StillLesson { source: LessonSource::Folder, ..sound.clone() },
        StillLesson { run: Some(gone), ..sound.clone() },
    ];
    for lesson in wrong {
        let error = store.learn(&lesson, NOW_MS).unwrap_err();
        assert!(error.is_bad_input() && !error.hint().is_empty(), "{error}");
    }
    assert_eq!(store.length(&run).unwrap(), 5, "all or none");
    assert!(store.stills().unwrap().is_empty());
    let astray = store.append(&run, &Entry::Learned(Box::new(sound)), NOW_MS, NOW_MS);
    assert!(matches!(astray, Err(StoreError::Entry { .. })));
    store.verify().unwrap();
}

#[test]
fn the_belief_a_run_was_opened_with_stays_with_it() {
    let House { store, .. } = house();
    let new = NewRun {
        character: Some(character(2)),
        ..NewRun::new(crate::common::plan(), RunMode::Real, false)
    };
    let run = store.create_run(&new, NOW_MS).unwrap();
    store.learn(&lesson(None, LessonSource::Folder, 3), NOW_MS).unwrap();
    assert_eq!(store.run(&run).unwrap().character, Some(character(2)));
    let mut wild = new;
    wild.character = Some(character(1));
    wild.character.as_mut().unwrap().beliefs[0].mean = f64::NAN;
    assert!(store.create_run(&wild, NOW_MS).unwrap_err().is_bad_input());
}

#[test]
fn a_lesson_that_was_changed_or_taken_out_is_found() {
    for sql in [
        "UPDATE entry SET payload = replace(payload, '0.2', '0.1') WHERE kind = 'learned'",
        "UPDATE entry SET payload = replace(payload, '2.4', '2.5') WHERE kind = 'balance'",
        "UPDATE entry SET payload = replace(payload, 'packing', 'probe') WHERE kind = 'still_reset'",
        "DELETE FROM entry WHERE kind = 'still_reset'",
        "DELETE FROM entry WHERE kind = 'balance'",
    ] {
        let House { room, store } = house();
        let run = ended(&store, NOW_MS);
        store.learn(&lesson(Some(&run), LessonSource::Real, 1), NOW_MS).unwrap();
        store.reset_still("Test still", false, "new packing", NOW_MS).unwrap();
        store.verify().unwrap();
        drop(store);
        let file = room.path().join("middlecut.sqlite");
        let connection = rusqlite::Connection::open(file).unwrap();
        let guards = "DROP TRIGGER entry_is_not_changed; DROP TRIGGER entry_is_not_removed";
        connection.execute_batch(guards).unwrap();
        connection.execute_batch(sql).unwrap();
        assert!(connection.total_changes() > 0, "{sql} changed nothing");
        drop(connection);
        let failure = Store::open_read_only(room.path()).unwrap().verify().expect_err(sql);
        assert!(failure.run == "house" || failure.run == run.as_str(), "{failure}");
    }
}

#[test]
fn a_run_left_out_of_the_learning_counts_for_nothing_and_can_count_again() {
    let House { store, .. } = house();
    let runs: Vec<RunId> = (0..3).map(|n| ended(&store, NOW_MS + 1000 * n)).collect();
    // Each run says alone: 0.3, sd 0.1; the owner's own belief was 0, sd 0.1.
    let alone = Belief { of: Trait::HeatLoss, mean: 0.3, sd: 0.1 };
    let after = |runs: f64| Belief {
        of: Trait::HeatLoss,
        mean: 0.3 * runs / (1.0 + runs),
        sd: 0.1 / (1.0 + runs).sqrt(),
    };
    let mut history = Vec::new();
    for (number, run) in (1_u32..).zip(&runs) {
        let after = vec![after(f64::from(number))];
        history.push(Learned {
            title: format!("Run {number}"),
            start: String::new(),
            run: vec![alone],
            after: after.clone(),
            counted: None,
        });
        let character = Character { beliefs: after, history: history.clone() };
        let lesson = lesson(Some(run), LessonSource::Real, number);
        store.learn(&StillLesson { character, ..lesson }, NOW_MS + 9000).unwrap();
    }
    let before = store.still("Test still", false).unwrap().unwrap();
    store.count_run(&runs[0], false, NOW_MS + 9500).unwrap();
    let without = store.still("Test still", false).unwrap().unwrap();
    assert_eq!((without.lessons.len(), without.left_out.len()), (2, 1));
    let believed = without.character.beliefs[0];
    assert!((believed.mean - after(2.0).mean).abs() < 1e-9, "as if two had run: {believed:?}");
    assert!(believed.sd >= after(3.0).sd);
    assert_eq!(without.character.history.len(), 2);
    assert!(!store.run(&runs[0]).unwrap().summary.counts);
    assert!(store.runs(false).unwrap()[1].counts);
    store.count_run(&runs[1], false, NOW_MS + 9600).unwrap();
    store.count_run(&runs[2], false, NOW_MS + 9700).unwrap();
    assert_eq!(store.character("Test still").unwrap(), None, "nothing is believed any more");
    for run in &runs {
        store.count_run(run, true, NOW_MS + 9800).unwrap();
    }
    assert_eq!(store.still("Test still", false).unwrap().unwrap(), before);
}
