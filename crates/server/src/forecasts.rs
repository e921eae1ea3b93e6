//! Forecasts of plans: each computed once, kept for whoever asks next, and none waited for without
//! end.

use std::collections::VecDeque;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use advise::Forecasts;
use still::StillError;
use still::plan::RunPlan;

use crate::problem::ApiError;

/// Most plans whose forecasts are kept.
const KEPT_MAX: usize = 32;
/// Most that are computed at once.
const AT_ONCE: usize = 2;
/// Longest that anybody waits for one; they take a fraction of a second. Judgement.
const WAIT_MAX: Duration = Duration::from_secs(10);
/// Most that are at work at all, those included that take longer than anybody waits.
const THREADS_MAX: usize = 6;

/// What computes a forecast; another one in tests.
type Compute = fn(&RunPlan) -> Result<Forecasts, StillError>;

/// What came of a plan.
#[derive(Debug, Clone)]
enum Kept {
    /// It is being computed since then.
    Since(Instant),
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

impl ForecastCache {
    /// Nothing yet.
    pub(crate) fn new() -> Arc<Self> {
        Self::with(Forecasts::of, WAIT_MAX)
    }

    fn with(compute: Compute, wait_max: Duration) -> Arc<Self> {
        let (kept, more) = (Mutex::default(), Condvar::new());
        Arc::new(Self { kept, more, compute, wait_max })
    }

    /// The forecasts of a plan, on a thread that may wait.
    ///
    /// # Errors
    /// What the plan has no forecast for; [`ApiError::TooLong`] where it is not there in time.
    pub(crate) fn of(self: &Arc<Self>, plan: &RunPlan) -> Result<Forecasts, ApiError> {
        let (key, until) = (key(plan), Instant::now() + self.wait_max);
        let mut kept = self.lock();
        loop {
            let found = kept.iter().find(|(of, _)| *of == key).map(|(_, found)| found.clone());
            match found {
                Some(Kept::Done(result)) => return Ok(result?),
                Some(Kept::Since(began)) if began.elapsed() >= self.wait_max => break,
                None if self.has_room(&kept) => self.begin(&mut kept, &key, plan)?,
                Some(Kept::Since(_)) | None => {}
            }
            let left = until.saturating_duration_since(Instant::now());
            if left.is_zero() {
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

    fn has_room(&self, kept: &VecDeque<(String, Kept)>) -> bool {
        let began = kept.iter().filter_map(|(_, found)| match found {
            Kept::Since(began) => Some(began.elapsed()),
            Kept::Done(_) => None,
        });
        let all: Vec<Duration> = began.collect();
        let in_time = all.iter().filter(|since| **since < self.wait_max).count();
        in_time < AT_ONCE && all.len() < THREADS_MAX
    }

    fn begin(
        self: &Arc<Self>,
        kept: &mut VecDeque<(String, Kept)>,
        key: &str,
        plan: &RunPlan,
    ) -> Result<(), ApiError> {
        let (cache, plan, of) = (Arc::clone(self), plan.clone(), key.to_owned());
        thread::Builder::new()
            .name("forecast".to_owned())
            .spawn(move || {
                let compute = || (cache.compute)(&plan);
                let result = std::panic::catch_unwind(std::panic::AssertUnwindSafe(compute));
                cache.done(&of, result.ok());
            })
            .map_err(|error| ApiError::Inside { what: format!("forecast: {error}") })?;
        if kept.len() >= KEPT_MAX {
            // Those at work are far fewer: one that is done is found.
            let oldest = kept.iter().position(|(_, found)| matches!(found, Kept::Done(_)));
            oldest.and_then(|at| kept.remove(at));
        }
        kept.push_back((key.to_owned(), Kept::Since(Instant::now())));
        Ok(())
    }

    /// Keeps what came of it; one that broke off is tried again by who asks next.
    fn done(&self, key: &str, result: Option<Result<Forecasts, StillError>>) {
        let mut kept = self.lock();
        kept.retain(|(of, _)| of != key);
        if let Some(result) = result {
            kept.push_back((key.to_owned(), Kept::Done(result)));
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
    use still::StillError;
    use still::plan::RunPlan;

    use super::ForecastCache;
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
        fn counted(plan: &RunPlan) -> Result<Forecasts, StillError> {
            COMPUTED.fetch_add(1, Ordering::SeqCst);
            Forecasts::of(plan)
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
    fn a_forecast_that_takes_too_long_holds_nobody_up_for_ever() {
        fn endless(plan: &RunPlan) -> Result<Forecasts, StillError> {
            if plan.charge.litres == 20.0 {
                thread::sleep(Duration::from_mins(10));
            }
            Forecasts::of(plan)
        }
        let cache = ForecastCache::with(endless, Duration::from_secs(5));
        for _ in 0..2 {
            let asked = cache.of(&plan("run", 20.0));
            assert!(matches!(asked, Err(ApiError::TooLong { .. })), "{asked:?}");
        }
        cache.of(&plan("run", 18.0)).expect("others go on");
    }

    #[test]
    fn a_forecast_that_breaks_down_is_an_answer_like_any_other() {
        fn broken(_: &RunPlan) -> Result<Forecasts, StillError> {
            panic!("a forecast that breaks down, on purpose")
        }
        let cache = ForecastCache::with(broken, Duration::from_millis(200));
        assert!(matches!(cache.of(&plan("run", 20.0)), Err(ApiError::TooLong { .. })));
    }
}
