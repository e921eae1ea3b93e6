//! How threads are told to stop, and how long anybody waits until they have.

use std::sync::{Condvar, Mutex, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

/// Longest wait for threads that were told to stop: one that hangs with its device is left to
/// itself, and ends when its device answers.
const JOIN_MAX: Duration = Duration::from_millis(800);
/// Time between two looks at them.
const JOIN_LOOK: Duration = Duration::from_millis(5);

/// Tells threads to stop.
#[derive(Debug, Default)]
pub(super) struct Stop {
    told: Mutex<bool>,
    news: Condvar,
}

impl Stop {
    /// Tells it.
    pub(super) fn tell(&self) {
        *self.told.lock().unwrap_or_else(PoisonError::into_inner) = true;
        self.news.notify_all();
    }

    /// Whether it was told.
    pub(super) fn is_told(&self) -> bool {
        *self.told.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Waits so long, or until it is told; gives whether it was.
    pub(super) fn wait(&self, longest: Duration) -> bool {
        let told = self.told.lock().unwrap_or_else(PoisonError::into_inner);
        let waited = self.news.wait_timeout_while(told, longest, |told| !*told);
        *waited.unwrap_or_else(PoisonError::into_inner).0
    }
}

/// Waits for threads that were told to stop, not for ever.
pub(super) fn join(threads: impl IntoIterator<Item = JoinHandle<()>>) {
    let until = Instant::now() + JOIN_MAX;
    for thread in threads {
        while !thread.is_finished() && Instant::now() < until {
            thread::sleep(JOIN_LOOK);
        }
        if thread.is_finished() {
            let _ = thread.join();
        }
    }
}
