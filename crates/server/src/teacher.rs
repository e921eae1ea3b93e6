//! Works out what runs that are over teach: one at a time on a thread of its own, so that neither
//! a session nor a request ever waits for it unasked.
//!
//! While it computes it holds no record, so that the program can stop under it; what was not
//! finished is worked out again when it is next asked for, or when the server starts.

use std::collections::VecDeque;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;

use estimate::EstimateError;
use estimate::{AlcoholBalance, Character, Lesson, Settings};
use sense::RecordedRun;
use still::plan::RunPlan;
use store::{
    Entry, EntryNumber, LessonSource, RunId, RunMode, RunState, RunSummary, StillLesson,
    StillState, Store, StoreError, StoredBalance,
};
use tokio::sync::oneshot;

use crate::clock::Clock;
use crate::keeper::Keeper;
use crate::problem::ApiError;

/// Most runs that wait; one more is refused as busy.
const WAITING_MAX: usize = 64;
/// Most runs whose failure is remembered.
const FAILURES_MAX: usize = 64;

/// What a run says: where its alcohol went and, where it teaches, what the still is after it.
pub(crate) struct Said {
    pub(crate) character: Option<Character>,
    pub(crate) balance: AlcoholBalance,
}

/// What fits a run, and learns from it where it teaches; another one in tests.
pub(crate) type Fit = fn(&RunPlan, &RecordedRun, &Character, bool) -> Result<Said, EstimateError>;

/// Where somebody waits for a run to be learned from.
type Told = oneshot::Sender<Result<(), ApiError>>;

/// A run to be looked at.
#[derive(Debug)]
struct Job {
    run: RunId,
    example: bool,
    /// Those who asked that it teaches. Without any, only a real run does.
    asked: Vec<Told>,
}

/// What the thread and those who give it work share.
#[derive(Debug, Default)]
struct Work {
    /// The person's own record and that of the example house; none once the program stops.
    keepers: Option<[Keeper; 2]>,
    waiting: VecDeque<Job>,
    now: Option<RunId>,
    /// Runs that could not be fitted, with the last row that was there then, and why.
    failed: VecDeque<(RunId, EntryNumber, String)>,
}

/// The thread's other end.
#[derive(Debug)]
pub(crate) struct Teacher {
    work: Mutex<Work>,
    more: Condvar,
    clock: Clock,
    fit: Fit,
    /// Held by whichever fit to a whole run computes.
    fits: Arc<Mutex<()>>,
}

impl Teacher {
    /// Starts the thread.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub(crate) fn start(
        own: &Keeper,
        example: &Keeper,
        clock: &Clock,
        fit: Fit,
    ) -> std::io::Result<Arc<Self>> {
        let keepers = Some([own.clone(), example.clone()]);
        let work = Mutex::new(Work { keepers, ..Work::default() });
        let (more, clock) = (Condvar::new(), clock.clone());
        let teacher = Arc::new(Self { work, more, clock, fit, fits: Arc::default() });
        let own_end = Arc::clone(&teacher);
        thread::Builder::new().name("learn".to_owned()).spawn(move || {
            while let Some(job) = own_end.next() {
                own_end.look_at(job);
            }
        })?;
        Ok(teacher)
    }

    /// What a fit to whole runs holds while it computes: they run one at a time.
    pub(crate) fn fits(&self) -> Arc<Mutex<()>> {
        Arc::clone(&self.fits)
    }

    /// A run is over, or a jar of it was gauged later.
    pub(crate) fn ended(&self, run: &RunId, example: bool) {
        if let Err(error) = self.put(run, example, None) {
            tracing::warn!("run {run}: its balance waits until it is asked for: {error}");
        }
    }

    /// Puts a run among those to be looked at, unless it is there.
    ///
    /// # Errors
    /// [`ApiError::Busy`] where too many wait.
    pub(crate) fn put(
        &self,
        run: &RunId,
        example: bool,
        asked: Option<Told>,
    ) -> Result<(), ApiError> {
        let mut work = self.lock();
        if let Some(job) = work.waiting.iter_mut().find(|job| job.run == *run) {
            job.asked.extend(asked);
            return Ok(());
        }
        if work.waiting.len() >= WAITING_MAX || work.keepers.is_none() {
            return Err(ApiError::Busy);
        }
        let asked = asked.into_iter().collect();
        work.waiting.push_back(Job { run: run.clone(), example, asked });
        self.more.notify_one();
        Ok(())
    }

    /// Whether a run is being looked at or waits for it.
    pub(crate) fn is_at(&self, run: &RunId) -> bool {
        let work = self.lock();
        work.now.as_ref() == Some(run) || work.waiting.iter().any(|job| job.run == *run)
    }

    /// Why a run could not be fitted with the rows it has.
    pub(crate) fn failure(&self, run: &RunId, last_row: EntryNumber) -> Option<String> {
        let work = self.lock();
        let found = work.failed.iter().find(|(of, upto, _)| of == run && *upto >= last_row);
        found.map(|(_, _, what)| what.clone())
    }

    /// Lets go of the records; what is being computed is not waited for.
    pub(crate) fn stop(&self) {
        let mut work = self.lock();
        work.keepers = None;
        work.waiting.clear();
        self.more.notify_all();
    }

    fn lock(&self) -> MutexGuard<'_, Work> {
        // A panic of another thread leaves no half-done work behind.
        self.work.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The next run, waited for; none when the program stops.
    fn next(&self) -> Option<Job> {
        let mut work = self.lock();
        loop {
            work.now = None;
            work.keepers.as_ref()?;
            if let Some(job) = work.waiting.pop_front() {
                work.now = Some(job.run.clone());
                return Some(job);
            }
            work = self.more.wait(work).unwrap_or_else(PoisonError::into_inner);
        }
    }

    fn keeper(&self, example: bool) -> Result<Keeper, ApiError> {
        let [own, of_example] = self.lock().keepers.clone().ok_or(ApiError::Busy)?;
        Ok(if example { of_example } else { own })
    }

    fn look_at(&self, job: Job) {
        let Job { run, example, asked } = job;
        let mut result = self.teach(&run, example, !asked.is_empty());
        if let Err(error) = &result {
            tracing::warn!("run {run}: nothing was learned: {error}");
        }
        for told in asked {
            // One who went away in the meantime hears nothing.
            let _ = told.send(std::mem::replace(&mut result, Ok(())));
        }
    }

    /// Fits a run to its end and keeps what that says.
    fn teach(&self, run: &RunId, example: bool, asked: bool) -> Result<(), ApiError> {
        let keeper = self.keeper(example)?;
        let state = keeper.reader().run(run)?;
        let source = source_of(&state.summary);
        let known = keeper.reader().still(&state.plan.still.name, source.is_rehearsed())?;
        drop(keeper);
        must_be_over(&state)?;
        let taught_before = known.as_ref().is_some_and(|known| has_taught(known, run));
        let teaches = asked || taught_before || state.summary.mode == RunMode::Real;
        let may_teach = state.summary.counts && state.summary.abandoned.is_none();
        if asked && !may_teach {
            return Err(left_out());
        }
        let before = (teaches && may_teach).then(|| before(known.as_ref(), &state)).flatten();
        if asked && before.is_none() {
            return Err(outlived());
        }
        let prior = before.as_ref().or(state.character.as_ref()).cloned().unwrap_or_default();
        let said = self.fit(&state, &prior, before.is_some())?;
        let kept = Kept { run: run.clone(), source, state, known };
        let now_ms = self.clock.now_ms();
        let keeper = self.keeper(example)?;
        let taught = keeper.write_and_wait(move |store| kept.keep(store, said, now_ms))?;
        if asked && !taught { Err(outlived()) } else { Ok(()) }
    }

    /// What the run says; a failure is remembered, so that it is not computed over and over.
    fn fit(&self, state: &RunState, prior: &Character, teaches: bool) -> Result<Said, ApiError> {
        let folder = state.folder();
        let alone = self.fits.lock().unwrap_or_else(PoisonError::into_inner);
        let compute = || (self.fit)(&folder.plan, &folder.rows, prior, teaches);
        let what = match std::panic::catch_unwind(std::panic::AssertUnwindSafe(compute)) {
            Ok(Ok(said)) => return Ok(said),
            Ok(Err(error)) => error.to_string(),
            Err(_) => "the fit broke off".to_owned(),
        };
        drop(alone);
        let mut work = self.lock();
        if work.failed.len() >= FAILURES_MAX {
            work.failed.pop_front();
        }
        let id = state.summary.id.clone();
        work.failed.push_back((id, state.last_row_entry, what.clone()));
        Err(no_balance(what))
    }
}

/// A lesson on its way into the record.
struct Kept {
    run: RunId,
    source: LessonSource,
    state: RunState,
    known: Option<StillState>,
}

impl Kept {
    /// Keeps the balance, and the lesson unless the still was told or taught something meanwhile;
    /// gives whether it was.
    fn keep(self, store: &Store, said: Said, now_ms: i64) -> Result<bool, StoreError> {
        let Self { run, source, state, known } = self;
        let (still, upto) = (state.plan.still.name, state.last_entry);
        let Said { character, balance } = said;
        let as_before = store.still(&still, source.is_rehearsed())? == known;
        let Some(character) = character.filter(|_| as_before) else {
            let entry = Entry::Balance(Box::new(StoredBalance { upto, balance }));
            store.append(&run, &entry, now_ms, now_ms)?;
            return Ok(false);
        };
        let run = Some(run);
        store.learn(&StillLesson { still, source, run, upto, character, balance }, now_ms)?;
        Ok(true)
    }
}

/// The fit of the product.
pub(crate) const FIT: Fit = |plan, rows, before, teaches| {
    if !teaches {
        let balance = estimate::balance(plan, rows, before)?;
        return Ok(Said { character: None, balance });
    }
    let Lesson { character, balance } = advise::learn(plan, rows, before, Settings::default())?;
    Ok(Said { character: Some(character), balance })
};

fn source_of(summary: &RunSummary) -> LessonSource {
    match summary.mode {
        RunMode::Real => LessonSource::Real,
        // What was rehearsed stays so, through a folder and back.
        RunMode::Imported if summary.rehearsed() == Some(true) => LessonSource::Rehearsal,
        RunMode::Imported => LessonSource::Imported,
        RunMode::Rehearsal { .. } => LessonSource::Rehearsal,
    }
}

/// The run is left out of the learning, or was given up.
fn left_out() -> ApiError {
    ApiError::Conflict {
        code: "left_out",
        what: "the run was given up, or is left out of the learning".to_owned(),
        hint: "a run that is left out can be counted again",
    }
}

fn has_taught(known: &StillState, run: &RunId) -> bool {
    known.lessons.iter().any(|lesson| lesson.run.as_ref() == Some(run))
}

/// What was believed before the run; none where it cannot teach any more.
fn before(known: Option<&StillState>, state: &RunState) -> Option<Character> {
    let summary = &state.summary;
    let ended_ms = summary.ended_ms.unwrap_or(summary.created_ms);
    known.map_or_else(|| Some(Character::default()), |known| known.before(&summary.id, ended_ms))
}

/// Refuses a run that still goes on.
///
/// # Errors
/// [`ApiError::Conflict`].
pub(crate) fn must_be_over(state: &RunState) -> Result<(), ApiError> {
    if state.summary.ended.is_some() || state.summary.mode == RunMode::Imported {
        return Ok(());
    }
    let (what, hint) = ("the run is not over", "end it first");
    Err(ApiError::Conflict { code: "run_not_over", what: what.to_owned(), hint })
}

/// The run cannot teach any more.
fn outlived() -> ApiError {
    ApiError::Conflict {
        code: "cannot_teach",
        what: "the still was changed after this run, or a later run built on it".to_owned(),
        hint: "learn from a newer run; its own balance is kept either way",
    }
}

/// No balance can be worked out.
pub(crate) fn no_balance(what: String) -> ApiError {
    let hint = "a fit needs readings or jars from vapour on".to_owned();
    ApiError::Unsimulated { code: "no_balance", what, hint }
}

/// Why the balance of a run cannot be worked out.
#[derive(Debug, thiserror::Error)]
pub enum BalanceError {
    /// The record refuses.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The run cannot be fitted.
    #[error(transparent)]
    Estimate(#[from] EstimateError),
}

/// Works the balance of a run out and keeps it, where it is not there; a run that goes on has none.
/// For who reads and writes the record without a server.
///
/// # Errors
/// [`BalanceError`].
pub fn work_out_balance(store: &Store, run: &RunId, now_ms: i64) -> Result<(), BalanceError> {
    let state = store.run(run)?;
    if state.current_balance().is_some() || must_be_over(&state).is_err() {
        return Ok(());
    }
    let folder = state.folder();
    let prior = state.character.clone().unwrap_or_default();
    let Said { balance, .. } = FIT(&folder.plan, &folder.rows, &prior, false)?;
    let entry = Entry::Balance(Box::new(StoredBalance { upto: state.last_entry, balance }));
    store.append(run, &entry, now_ms, now_ms)?;
    Ok(())
}

#[cfg(test)]
mod tests;
