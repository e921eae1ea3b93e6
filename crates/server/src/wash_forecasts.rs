//! Forecasts of washes: each computed once, kept until a row comes or an hour is over, few at once.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

use ferment::Forecast;
use store::WashState;
use store::folder::WASH_HOURS_MAX;
use tokio::sync::Semaphore;

use crate::problem::ApiError;

/// Most forecasts that are kept.
const KEPT_MAX: usize = 64;
/// Most that are computed at once: each takes a processor for a part of a second.
const AT_ONCE: usize = 2;

/// What makes two forecasts the same: the wash, its last entry, the hour.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Key {
    wash: String,
    entry: i64,
    hour: i64,
}

/// Forecasts of the washes that were asked for last.
#[derive(Debug)]
pub(crate) struct WashForecasts {
    kept: Mutex<VecDeque<(Key, Arc<Forecast>)>>,
    turns: Semaphore,
    places: Semaphore,
}

impl WashForecasts {
    /// Nothing yet.
    pub(crate) fn new() -> Self {
        Self { kept: Mutex::default(), turns: Semaphore::new(1), places: Semaphore::new(AT_ONCE) }
    }

    /// The forecast of a wash as it stands now, or stood when it ended.
    ///
    /// # Errors
    /// A recipe that cannot be; [`ApiError::Inside`] where it broke off.
    pub(crate) async fn of(
        &self,
        state: &WashState,
        now_ms: i64,
    ) -> Result<Arc<Forecast>, ApiError> {
        let at_ms = state.ended.as_ref().map_or(now_ms, |(_, end)| end.at_ms);
        let at_h = state.hours(at_ms).min(WASH_HOURS_MAX);
        #[expect(clippy::cast_possible_truncation, reason = "some thousand hours")]
        let hour = at_h.floor() as i64;
        let key = Key { wash: state.id.to_string(), entry: state.last_entry, hour };
        if let Some(found) = self.kept(&key) {
            return Ok(found);
        }
        let _turn = self.turns.acquire().await.map_err(|_| ApiError::Busy)?;
        // Whoever waited before may have brought it.
        if let Some(found) = self.kept(&key) {
            return Ok(found);
        }
        let found = Arc::new(self.computed(state, at_h).await?);
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        // One that an entry made old is asked for no more.
        kept.retain(|(of, _)| of.wash != key.wash);
        if kept.len() >= KEPT_MAX {
            kept.pop_front();
        }
        kept.push_back((key, Arc::clone(&found)));
        Ok(found)
    }

    /// A forecast computed on a thread that may wait; it is not kept.
    ///
    /// # Errors
    /// As [`WashForecasts::of`].
    pub(crate) async fn computed(
        &self,
        state: &WashState,
        at_h: f64,
    ) -> Result<Forecast, ApiError> {
        let _place = self.places.acquire().await.map_err(|_| ApiError::Busy)?;
        let (recipe, log) = (state.recipe.clone(), state.log(at_h));
        let done = tokio::task::spawn_blocking(move || ferment::forecast(&recipe, &log, at_h));
        let done =
            done.await.map_err(|error| ApiError::Inside { what: format!("wash: {error}") })?;
        done.map_err(refused)
    }

    fn kept(&self, key: &Key) -> Option<Arc<Forecast>> {
        let kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        kept.iter().find(|(of, _)| of == key).map(|(_, found)| Arc::clone(found))
    }
}

/// A recipe that cannot be, as an answer.
pub(crate) fn refused(error: ferment::RecipeError) -> ApiError {
    let ferment::RecipeError { field, value, bound, hint } = error;
    ApiError::field(format!("recipe.{field}"), value, bound, hint)
}
