//! The teacher with a fit that is quick and known: who teaches, who does not, what is kept.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use estimate::EstimateError;
use estimate::{Account, AlcoholBalance, Belief, Character, Learned, Trait, Verdict};
use sense::JarRecord;
use sense::RecordedRun;
use still::outcome::EndedBy;
use still::plan::RunPlan;
use store::{Entry, NewRun, RunId, RunMode, StillState, Store, StoredEnd};
use tokio::sync::oneshot;

use super::{Fit, Said, Teacher};
use crate::clock::Clock;
use crate::keeper::Keeper;
use crate::problem::ApiError;

const NOW_MS: i64 = 1_790_000_000_000;
const STILL: &str = "Reflux column, 25 L";
const REHEARSAL: RunMode =
    RunMode::Rehearsal { speed: 0.0, seed: 1, attendant: true, scale: false };

/// Adds a run to the character; the missing alcohol is what the jars hold.
#[expect(clippy::unnecessary_wraps, reason = "a fit can fail, this one does not")]
fn count(
    plan: &RunPlan,
    rows: &RecordedRun,
    before: &Character,
    teaches: bool,
) -> Result<Said, EstimateError> {
    let mean = 1.0 + before.belief(Trait::HeatLoss).map_or(0.0, |belief| belief.mean);
    let beliefs = vec![Belief { of: Trait::HeatLoss, mean, sd: 0.5 }];
    let (title, start) = (plan.title.clone(), plan.start.clone());
    let mut history = before.history.clone();
    history.push(Learned {
        title,
        start,
        run: beliefs.clone(),
        after: beliefs.clone(),
        counted: None,
    });
    let missing_l = rows.jars.iter().map(|jar| jar.volume_ml / 1000.0).sum();
    let balance = AlcoholBalance {
        charged_l: 2.5,
        collected_l: 2.0,
        left_l: 0.5,
        missing_l,
        missing_sd_l: 0.1,
        causes: Vec::new(),
        account: Some(Account {
            verdict: Verdict::Missing,
            not_gauged_l: 0.0,
            residue_gauged: false,
            vapour_lost_l: 0.1,
            parts: Vec::new(),
            tells_most: None,
        }),
    };
    let character = teaches.then_some(Character { beliefs, history });
    Ok(Said { character, balance })
}

struct School {
    _room: tempfile::TempDir,
    keeper: Keeper,
    teacher: Arc<Teacher>,
}

fn school(fit: Fit) -> School {
    let room = tempfile::tempdir().unwrap();
    let keeper = Keeper::start(Store::open(&room.path().join("own")).unwrap()).unwrap();
    let example = Keeper::start(Store::open(&room.path().join("example")).unwrap()).unwrap();
    let (clock, _) = Clock::by_hand(NOW_MS + 1000);
    let teacher = Teacher::start(&keeper, &example, &clock, fit).unwrap();
    School { _room: room, keeper, teacher }
}

impl School {
    fn run(&self, mode: RunMode, at_ms: i64) -> RunId {
        let plan = crate::example::house().plans[0].1.clone();
        let mut run = NewRun::new(plan, mode, false);
        run.plan.still.name = STILL.to_owned();
        let end = StoredEnd {
            time_s: 9000.0,
            ended_by: EndedBy::Plan,
            litres_20c: 2.2,
            pure_alcohol_l: 2.0,
        };
        let write = move |store: &Store| {
            let id = store.create_run(&run, at_ms)?;
            store.append(&id, &Entry::Started { started_ms: at_ms, steady: None }, at_ms, at_ms)?;
            store.append(&id, &Entry::Ended(end), at_ms, at_ms)?;
            Ok(id)
        };
        self.keeper.write_and_wait(write).unwrap()
    }

    /// Lets the teacher look at a run and waits until it has.
    fn look(&self, run: &RunId) {
        self.teacher.ended(run, false);
        let until = Instant::now() + Duration::from_secs(20);
        while self.teacher.is_at(run) {
            assert!(Instant::now() < until, "it takes too long");
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    fn ask(&self, run: &RunId) -> Result<(), ApiError> {
        let (told, answer) = oneshot::channel();
        self.teacher.put(run, false, Some(told)).unwrap();
        answer.blocking_recv().unwrap()
    }

    fn still(&self, rehearsed: bool) -> Option<StillState> {
        self.keeper.reader().still(STILL, rehearsed).unwrap()
    }

    fn heat_loss(&self, rehearsed: bool) -> Option<f64> {
        let still = self.still(rehearsed)?;
        still.character.belief(Trait::HeatLoss).map(|belief| belief.mean)
    }

    fn missing_l(&self, run: &RunId) -> Option<f64> {
        let state = self.keeper.reader().run(run).unwrap();
        state.current_balance().map(|balance| balance.missing_l)
    }

    fn jar(&self, run: &RunId) {
        let jar = JarRecord {
            number: 1,
            start_s: 10.0,
            end_s: 20.0,
            volume_ml: 250.0,
            temperature_c: None,
            apparent_vol: None,
            cut: None,
            note: String::new(),
            gauged_with: None,
        };
        let run = run.clone();
        let write = move |store: &Store| store.append(&run, &Entry::Jar(jar), NOW_MS, NOW_MS);
        self.keeper.write_and_wait(write).unwrap();
    }
}

#[test]
fn a_real_run_teaches_and_a_rehearsal_only_when_asked_and_apart() {
    let school = school(count);
    let rehearsal = school.run(REHEARSAL, NOW_MS);
    school.look(&rehearsal);
    assert_eq!(school.missing_l(&rehearsal), Some(0.0), "its balance is kept");
    assert!(school.still(true).is_none() && school.still(false).is_none());
    let first = school.run(RunMode::Real, NOW_MS);
    school.look(&first);
    assert_eq!(school.heat_loss(false), Some(1.0));
    let second = school.run(RunMode::Real, NOW_MS + 1);
    school.look(&second);
    assert_eq!(school.heat_loss(false), Some(2.0));
    school.ask(&rehearsal).unwrap();
    assert_eq!((school.heat_loss(false), school.heat_loss(true)), (Some(2.0), Some(1.0)));
    let imported = school.run(RunMode::Imported, NOW_MS + 2);
    school.look(&imported);
    assert_eq!(school.heat_loss(false), Some(2.0), "not unasked");
    school.ask(&imported).unwrap();
    assert_eq!(school.heat_loss(false), Some(3.0));
}

#[test]
fn a_jar_gauged_later_teaches_again_unless_a_run_built_on_it() {
    let school = school(count);
    let first = school.run(RunMode::Real, NOW_MS);
    school.look(&first);
    school.jar(&first);
    assert_eq!(school.missing_l(&first), None, "the balance is old");
    school.look(&first);
    assert_eq!((school.missing_l(&first), school.heat_loss(false)), (Some(0.25), Some(1.0)));
    assert_eq!(school.still(false).unwrap().lessons.len(), 1);
    let second = school.run(RunMode::Real, NOW_MS + 1);
    school.look(&second);
    school.jar(&first);
    school.look(&first);
    assert_eq!(school.missing_l(&first), Some(0.25));
    assert_eq!(school.heat_loss(false), Some(2.0), "the second run stands on the first");
    let refused = school.ask(&first).unwrap_err();
    assert!(matches!(refused, ApiError::Conflict { code: "cannot_teach", .. }), "{refused}");
}

#[test]
fn a_run_from_before_a_change_does_not_teach() {
    let school = school(count);
    let first = school.run(RunMode::Real, NOW_MS);
    school.look(&first);
    let reset = |store: &Store| store.reset_still(STILL, false, "new packing", NOW_MS + 5);
    school.keeper.write_and_wait(reset).unwrap();
    school.jar(&first);
    school.look(&first);
    assert_eq!((school.missing_l(&first), school.heat_loss(false)), (Some(0.25), None));
    let later = school.run(RunMode::Real, NOW_MS + 6);
    school.look(&later);
    assert_eq!(school.heat_loss(false), Some(1.0));
}

#[test]
fn a_run_that_goes_on_is_refused() {
    let school = school(count);
    let plan = crate::example::house().plans[0].1.clone();
    let create = |store: &Store| store.create_run(&NewRun::new(plan, RunMode::Real, false), NOW_MS);
    let run = school.keeper.write_and_wait(create).unwrap();
    let refused = school.ask(&run).unwrap_err();
    assert!(matches!(refused, ApiError::Conflict { code: "run_not_over", .. }), "{refused}");
}

#[test]
fn a_fit_that_fails_or_breaks_is_told_and_not_tried_over_and_over() {
    static TRIES: AtomicUsize = AtomicUsize::new(0);
    fn fails(
        _: &RunPlan,
        rows: &RecordedRun,
        _: &Character,
        _: bool,
    ) -> Result<Said, EstimateError> {
        TRIES.fetch_add(1, Ordering::SeqCst);
        assert!(rows.jars.is_empty(), "a fit that breaks, on purpose");
        Err(EstimateError::Still(still::StillError::HoldupTooLarge {
            holdup_mol: 9.0,
            charge_mol: 1.0,
        }))
    }
    let school = school(fails);
    let run = school.run(RunMode::Real, NOW_MS);
    school.look(&run);
    let last_row = || school.keeper.reader().run(&run).unwrap().last_row_entry;
    let what = school.teacher.failure(&run, last_row()).unwrap();
    assert!(what.contains("hold-up"), "{what}");
    school.jar(&run);
    assert_eq!(school.teacher.failure(&run, last_row()), None, "with a jar it may be another");
    assert!(matches!(school.ask(&run), Err(ApiError::Unsimulated { code: "no_balance", .. })));
    assert!(school.teacher.failure(&run, last_row()).is_some());
    assert_eq!(TRIES.load(Ordering::SeqCst), 2);
    assert!(school.still(false).is_none());
}

#[test]
fn one_that_stopped_takes_no_work_and_holds_no_record() {
    let School { _room, keeper, teacher } = school(count);
    teacher.stop();
    let run = RunId::new("20260101-000000-ffff");
    assert!(matches!(teacher.put(&run, false, None), Err(ApiError::Busy)));
    drop(teacher);
    keeper.close();
}
