//! Fits a still to its runs that are over, when a person asks for it: one still at a time, on a
//! thread of its own that can be given up, and keeps what came of it.
//!
//! While it computes it holds no record, and no other fit computes.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;

use estimate::{CalibrateError, Calibration, FinishedRun, Said};
use still::{Cancel, StillError};
use store::{StillCalibration, Store, StoreError};

use crate::clock::Clock;
use crate::fit_runs::{self, Fitted};
use crate::keeper::Keeper;
use crate::problem::ApiError;
use crate::wire::calibrated::{FitStateWire, FitWire};

/// What fits runs together; another one in tests.
pub(crate) type Fit = fn(
    &[FinishedRun<'_>],
    &Said,
    &Cancel,
    &dyn Fn(usize, usize),
) -> Result<Calibration, CalibrateError>;

/// The fit of the product.
pub(crate) const FIT: Fit = estimate::calibrate_telling;

/// Why nothing came of a fit, and what to do about it.
type Trouble = (String, String);

/// A fit that goes on, or the last one.
#[derive(Debug)]
struct Job {
    number: u64,
    still: String,
    runs: Vec<String>,
    state: FitStateWire,
    done: usize,
    of: usize,
    trouble: Option<Trouble>,
    cancel: Cancel,
}

/// What the thread and those who ask share.
#[derive(Debug)]
struct Work {
    /// The person's own record; none once the program stops.
    keeper: Option<Keeper>,
    job: Option<Job>,
}

/// Begins fits, and tells how far they are.
#[derive(Debug)]
pub(crate) struct Calibrator {
    work: Mutex<Work>,
    /// Held by whichever fit computes.
    fits: Arc<Mutex<()>>,
    clock: Clock,
    fit: Fit,
}

impl Calibrator {
    /// One that does nothing yet.
    pub(crate) fn new(own: &Keeper, fits: Arc<Mutex<()>>, clock: &Clock, fit: Fit) -> Arc<Self> {
        let work = Mutex::new(Work { keeper: Some(own.clone()), job: None });
        Arc::new(Self { work, fits, clock: clock.clone(), fit })
    }

    /// Begins to fit a still to these runs; one that is being fitted goes on.
    ///
    /// # Errors
    /// [`ApiError::Conflict`] where another still is being fitted or there are too few runs,
    /// [`ApiError::Busy`] where the program stops.
    pub(crate) fn begin(self: &Arc<Self>, still: &str, runs: Fitted) -> Result<FitWire, ApiError> {
        let mut work = self.lock();
        if work.keeper.is_none() {
            return Err(ApiError::Busy);
        }
        let number = work.job.as_ref().map_or(0, |job| job.number + 1);
        if let Some(job) = work.job.as_ref().filter(|job| job.state == FitStateWire::Fitting) {
            if job.still == still {
                return Ok(told(job));
            }
            let what = format!("{} is being fitted", job.still);
            let hint = "wait for it, or give it up";
            return Err(ApiError::Conflict { code: "fit_goes_on", what, hint });
        }
        runs.must_be_enough()?;
        let cancel = Cancel::new();
        let job = Job {
            number,
            still: still.to_owned(),
            runs: runs.titles(),
            state: FitStateWire::Fitting,
            done: 0,
            of: 0,
            trouble: None,
            cancel: cancel.clone(),
        };
        let said = told(&job);
        let own_end = Arc::clone(self);
        let work_off = move || own_end.work_off(number, &runs, &cancel);
        thread::Builder::new().name("calibrate".to_owned()).spawn(work_off).map_err(|error| {
            ApiError::Inside { what: format!("no thread for a calibration: {error}") }
        })?;
        work.job = Some(job);
        Ok(said)
    }

    /// How far the fit of a still has come, or how the last one ended.
    pub(crate) fn at(&self, still: &str) -> FitWire {
        let work = self.lock();
        work.job.as_ref().filter(|job| job.still == still).map_or_else(FitWire::idle, told)
    }

    /// Gives the fit of a still up, where one goes on.
    pub(crate) fn give_up(&self, still: &str) -> FitWire {
        let mut work = self.lock();
        let Some(job) = work.job.as_mut().filter(|job| job.still == still) else {
            return FitWire::idle();
        };
        if job.state == FitStateWire::Fitting {
            job.cancel.cancel();
            job.state = FitStateWire::GivenUp;
        }
        told(job)
    }

    /// Lets go of the record and gives up what is being computed.
    pub(crate) fn stop(&self) {
        let mut work = self.lock();
        work.keeper = None;
        if let Some(job) = &work.job {
            job.cancel.cancel();
        }
    }

    fn lock(&self) -> MutexGuard<'_, Work> {
        // A panic of another thread leaves no half-done work behind.
        self.work.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Changes a fit that goes on; one that was given up hears nothing any more.
    fn tell(&self, number: u64, change: impl FnOnce(&mut Job)) {
        let mut work = self.lock();
        let goes_on = |job: &&mut Job| job.number == number && job.state == FitStateWire::Fitting;
        if let Some(job) = work.job.as_mut().filter(goes_on) {
            change(job);
        }
    }

    /// The thread: fits, keeps, tells.
    fn work_off(&self, number: u64, runs: &Fitted, cancel: &Cancel) {
        let result = self.compute(number, runs, cancel).and_then(|found| {
            let keeper = self.lock().keeper.clone().filter(|_| !cancel.is_cancelled());
            self.keep(&keeper.ok_or_else(given_up)?, runs, &found)
        });
        self.tell(number, |job| match result {
            Ok(()) => job.state = FitStateWire::Kept,
            Err(trouble) => {
                tracing::warn!("{}: not calibrated: {}", job.still, trouble.0);
                (job.state, job.trouble) = (FitStateWire::Failed, Some(trouble));
            }
        });
    }

    fn compute(&self, number: u64, runs: &Fitted, cancel: &Cancel) -> Result<Calibration, Trouble> {
        let _alone = self.fits.lock().unwrap_or_else(PoisonError::into_inner);
        let tell = |done, of| self.tell(number, |job| (job.done, job.of) = (done, of));
        let given = runs.finished();
        let compute = || (self.fit)(&given, &runs.said, cancel, &tell);
        match std::panic::catch_unwind(std::panic::AssertUnwindSafe(compute)) {
            Ok(Ok(found)) => Ok(found),
            Ok(Err(CalibrateError::Still(StillError::Cancelled { .. }))) => Err(given_up()),
            Ok(Err(error)) => Err((runs.named_in(&error), fit_runs::HINT.to_owned())),
            Err(_) => Err(("the fit broke off".to_owned(), fit_runs::HINT.to_owned())),
        }
    }

    fn keep(&self, keeper: &Keeper, runs: &Fitted, found: &Calibration) -> Result<(), Trouble> {
        let calibration = StillCalibration::new(found, &runs.stated, &runs.named());
        let (changed_ms, now_ms) = (runs.changed_ms, self.clock.now_ms());
        let keep = move |store: &Store| keep(store, &calibration, changed_ms, now_ms);
        match keeper.write_and_wait(keep) {
            Ok(true) => Ok(()),
            Ok(false) => Err((
                "the still was changed while it was fitted".to_owned(),
                "fit it again with the runs that count now".to_owned(),
            )),
            Err(error) => Err((error.to_string(), "fit it again once that is mended".to_owned())),
        }
    }
}

fn given_up() -> Trouble {
    ("the fit was given up".to_owned(), "begin it again".to_owned())
}

/// Keeps the values, unless the hardware was changed meanwhile; gives whether it did.
fn keep(
    store: &Store,
    calibration: &StillCalibration,
    changed_ms: Option<i64>,
    now_ms: i64,
) -> Result<bool, StoreError> {
    let known = store.still(&calibration.still.name, false)?;
    if known.and_then(|known| known.changed_ms) != changed_ms {
        return Ok(false);
    }
    store.calibrate(calibration, now_ms)?;
    Ok(true)
}

fn told(job: &Job) -> FitWire {
    let (trouble, hint) = job.trouble.clone().unzip();
    let (state, runs) = (job.state, job.runs.clone());
    FitWire { state, done: job.done, of: job.of, runs, trouble, hint }
}

#[cfg(test)]
mod tests;
