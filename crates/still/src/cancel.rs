//! A wish to stop that a long reckoning asks after at each of its steps.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Says to whatever holds a clone of it that its result is no longer wanted.
///
/// Nothing here reads a clock: who sets a limit of time keeps the clock and calls
/// [`Cancel::cancel`].
#[derive(Debug, Clone, Default)]
pub struct Cancel(Option<Arc<AtomicBool>>);

impl Cancel {
    /// One that is never called: the default.
    #[must_use]
    pub const fn never() -> Self {
        Self(None)
    }

    /// One that can be called.
    #[must_use]
    pub fn new() -> Self {
        Self(Some(Arc::new(AtomicBool::new(false))))
    }

    /// Asks all holders of a clone to stop.
    pub fn cancel(&self) {
        if let Some(flag) = &self.0 {
            flag.store(true, Ordering::Relaxed);
        }
    }

    /// Whether it was called.
    #[must_use]
    pub fn is_cancelled(&self) -> bool {
        self.0.as_ref().is_some_and(|flag| flag.load(Ordering::Relaxed))
    }
}
