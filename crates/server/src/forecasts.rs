//! Forecasts of plans: each computed once, kept for whoever asks next, and none waited for without
//! end.

use std::collections::VecDeque;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use advise::Forecasts;
use still::plan::RunPlan;
use still::{Cancel, StillError};

use crate::problem::ApiError;

/// Most plans whose forecasts are kept.
const KEPT_MAX: usize = 32;
/// Most that are computed at once.
const AT_ONCE: usize = 2;
/// Longest that anybody waits for one, and longest that one takes; they take a fraction of a second.
/// Judgement.
const WAIT_MAX: Duration = Duration::from_secs(10);

/// What computes a forecast until it is no longer wanted; another one in tests.
type Compute = fn(&RunPlan, &Cancel) -> Result<Forecasts, StillError>;

/// What came of a plan.
#[derive(Debug, Clone)]
enum Kept {
    /// It is being computed, no longer than who asked for it waits.
    Until(Instant, Cancel),
    /// It is computed.
    Done(Result<Forecasts, StillError>),
}

/// Forecasts of the plans that were asked for last.
#[derive(Debug)]
pub(crate) struct ForecastCache {
    kept: Mutex<VecDeque<(String, Kept)>>,
    more: Condvar,
    compute: Compute,
    wait_max: Duration,
}

/// What makes two plans the same: everything but their name and their hour.
fn key(plan: &RunPlan) -> String {
    let mut plan = plan.clone();
    (plan.title, plan.start) = (String::new(), String::new());
    serde_json::to_string(&plan).unwrap_or_default()
}

fn has_room(kept: &VecDeque<(String, Kept)>) -> bool {
    kept.iter().filter(|(_, found)| matches!(found, Kept::Until(..))).count() < AT_ONCE
}

/// Stops what is at work on that plan although nobody waits for it any more.
fn abandon(kept: &VecDeque<(String, Kept)>, key: &str) {
    for (of, found) in kept {
        match found {
            Kept::Until(until, cancel) if of == key && *until <= Instant::now() => cancel.cancel(),
            Kept::Until(..) | Kept::Done(_) => {}
        }
    }
}

impl ForecastCache {
    /// Nothing yet.
    pub(crate) fn new() -> Arc<Self> {
        Self::with(Forecasts::unless_cancelled, WAIT_MAX)
    }

    fn with(compute: Compute, wait_max: Duration) -> Arc<Self> {
        let (kept, more) = (Mutex::default(), Condvar::new());
        Arc::new(Self { kept, more, compute, wait_max })
    }

    /// The forecasts of a plan, on a thread that may wait. What nobody waits for any more is stopped.
    ///
    /// # Errors
    /// What the plan has no forecast for; [`ApiError::TooLong`] where it is not there in time.
    pub(crate) fn of(self: &Arc<Self>, plan: &RunPlan) -> Result<Forecasts, ApiError> {
        let (key, until) = (key(plan), Instant::now() + self.wait_max);
        let mut begun = false;
        let mut kept = self.lock();
        loop {
            let found = kept.iter().find(|(of, _)| *of == key).map(|(_, found)| found);
            match found {
                Some(Kept::Done(result)) => return Ok(result.clone()?),
                // It broke off: whoever asks next tries again.
                None if begun => break,
                None if has_room(&kept) => {
                    self.begin(&mut kept, &key, plan, until)?;
                    begun = true;
                }
                Some(Kept::Until(..)) | None => {}
            }
            let left = until.saturating_duration_since(Instant::now());
            if left.is_zero() {
                abandon(&kept, &key);
                break;
            }
            let waited = self.more.wait_timeout(kept, left);
            kept = waited.unwrap_or_else(PoisonError::into_inner).0;
        }
        Err(ApiError::TooLong { what: "the forecast of this plan".to_owned() })
    }

    fn lock(&self) -> MutexGuard<'_, VecDeque<(String, Kept)>> {
        // A panic of another thread leaves no half-done work behind.
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn begin(
        self: &Arc<Self>,
        kept: &mut VecDeque<(String, Kept)>,
        key: &str,
        plan: &RunPlan,
        until: Instant,
    ) -> Result<(), ApiError> {
        let (cache, plan, of) = (Arc::clone(self), plan.clone(), key.to_owned());
        let cancel = Cancel::new();
        let wish = cancel.clone();
        thread::Builder::new()
            .name("forecast".to_owned())
            .spawn(move || {
                let compute = || (cache.compute)(&plan, &wish);
                let result = std::panic::catch_unwind(std::panic::AssertUnwindSafe(compute));
                cache.done(&of, result.ok());
            })
            .map_err(|error| ApiError::Inside { what: format!("forecast: {error}") })?;
        if kept.len() >= KEPT_MAX {
            // Those at work are far fewer: one that is done is found.
            let oldest = kept.iter().position(|(_, found)| matches!(found, Kept::Done(_)));
            oldest.and_then(|at| kept.remove(at));
        }
        kept.push_back((key.to_owned(), Kept::Until(until, cancel)));
        Ok(())
    }

    /// Keeps what came of it; one that broke off is tried again by who asks next.
    fn done(&self, key: &str, result: Option<Result<Forecasts, StillError>>) {
        let mut kept = self.lock();
        kept.retain(|(of, _)| of != key);
        match result {
            None | Some(Err(StillError::Cancelled { .. })) => {}
            Some(result) => kept.push_back((key.to_owned(), Kept::Done(result))),
        }
        self.more.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::thread;
    use std::time::Duration;

    use advise::Forecasts;
    use still::plan::RunPlan;
    use still::{Cancel, StillError};

    use super::{AT_ONCE, ForecastCache};
    use crate::problem::ApiError;

    fn plan(title: &str, litres: f64) -> RunPlan {
        let mut plan = crate::example::house().plans[0].1.clone();
        plan.title = title.to_owned();
        plan.charge.litres = litres;
        plan
    }

    #[test]
    fn a_plan_posted_once_is_simulated_once() {
        static COMPUTED: AtomicUsize = AtomicUsize::new(0);
        fn counted(plan: &RunPlan, cancel: &Cancel) -> Result<Forecasts, StillError> {
            COMPUTED.fetch_add(1, Ordering::SeqCst);
            Forecasts::unless_cancelled(plan, cancel)
        }
        let cache = ForecastCache::with(counted, Duration::from_mins(1));
        thread::scope(|scope| {
            for asker in 0..4 {
                let cache = &cache;
                scope.spawn(move || cache.of(&plan(&format!("run {asker}"), 20.0)).expect("one"));
            }
        });
        assert_eq!(COMPUTED.load(Ordering::SeqCst), 1, "the name of a run changes nothing");
        cache.of(&plan("another", 18.0)).expect("one");
        assert_eq!(COMPUTED.load(Ordering::SeqCst), 2);
    }

    #[test]
    fn a_forecast_that_nobody_waits_for_any_more_stops_and_others_go_on() {
        static STOPPED: AtomicUsize = AtomicUsize::new(0);
        fn endless(plan: &RunPlan, cancel: &Cancel) -> Result<Forecasts, StillError> {
            while plan.charge.litres == 20.0 && !cancel.is_cancelled() {
                thread::sleep(Duration::from_millis(1));
            }
            if cancel.is_cancelled() {
                STOPPED.fetch_add(1, Ordering::SeqCst);
                return Err(StillError::Cancelled { time_s: 0.0 });
            }
            Err(StillError::HoldupTooLarge { holdup_mol: 2.0, charge_mol: 1.0 })
        }
        let cache = ForecastCache::with(endless, Duration::from_millis(300));
        // More than there are places: each makes room for the next.
        for round in 1..=AT_ONCE + 1 {
            let asked = cache.of(&plan("run", 20.0));
            assert!(matches!(asked, Err(ApiError::TooLong { .. })), "{asked:?}");
            while STOPPED.load(Ordering::SeqCst) < round {
                thread::sleep(Duration::from_millis(1));
            }
        }
        let other = cache.of(&plan("run", 18.0));
        assert!(matches!(other, Err(ApiError::Unsimulated { .. })), "{other:?}");
    }

    #[test]
    fn a_forecast_that_is_no_longer_wanted_is_broken_off_at_its_next_step() {
        let cancel = Cancel::new();
        cancel.cancel();
        let broken_off = Forecasts::unless_cancelled(&plan("run", 20.0), &cancel);
        assert!(matches!(broken_off, Err(StillError::Cancelled { .. })), "{broken_off:?}");
    }

    #[test]
    fn a_forecast_that_breaks_down_is_an_answer_like_any_other() {
        static TRIED: AtomicUsize = AtomicUsize::new(0);
        fn broken(_: &RunPlan, _: &Cancel) -> Result<Forecasts, StillError> {
            TRIED.fetch_add(1, Ordering::SeqCst);
            panic!("a forecast that breaks down, on purpose")
        }
        let cache = ForecastCache::with(broken, Duration::from_mins(1));
        assert!(matches!(cache.of(&plan("run", 20.0)), Err(ApiError::TooLong { .. })));
        assert_eq!(TRIED.load(Ordering::SeqCst), 1, "not over and over");
    }
}
