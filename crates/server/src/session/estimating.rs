//! What the engine asks is worked out on a thread beside the session's own, so that neither run time
//! nor anybody who asks the session waits for it.

use std::time::{Duration, Instant};

use super::state::RunSession;
use super::worker::Worker;

/// Longest that run time stands still for an answer, over many looks.
const HOLD_MAX: Duration = Duration::from_secs(10);

impl RunSession {
    /// Hands on what the engine asks, and brings back what was found within that time.
    pub(super) fn think(&mut self, at_most: Duration) {
        self.hand_on();
        let found = self.estimating.worker.as_mut().and_then(|worker| worker.fetch(at_most));
        if let Some((ticket, answer)) = found {
            self.engine.answered(ticket, answer);
            self.hand_on();
        }
    }

    fn hand_on(&mut self) {
        let idle = self.estimating.worker.as_ref().is_none_or(Worker::is_idle);
        if !idle {
            return;
        }
        let Some((ticket, request)) = self.engine.take_question() else { return };
        if self.estimating.worker.is_none() {
            match Worker::start(format!("think {}", self.id)) {
                Ok(worker) => self.estimating.worker = Some(worker),
                // Without a thread the question is let go by when its answer is due.
                Err(error) => tracing::error!("run {}: no thread to think: {error}", self.id),
            }
        }
        if let Some(worker) = &mut self.estimating.worker {
            worker.give(move || (ticket, request.compute()));
        }
    }

    /// Whether that second can be ended: no answer is missing that takes effect in it. Waits for
    /// one until that moment, and once it took too long goes on without it.
    pub(super) fn may_tick(&mut self, second: u64, until: Instant) -> bool {
        self.hand_on();
        while self.engine.awaits(second) {
            let worker = self.estimating.worker.as_ref();
            let held = *self.estimating.held.get_or_insert_with(Instant::now);
            if worker.is_none_or(Worker::is_gone) || held.elapsed() >= HOLD_MAX {
                tracing::warn!("run {}: goes on without an answer at {second} s", self.id);
                self.engine.let_pass();
                break;
            }
            let left = until.saturating_duration_since(Instant::now());
            self.think(left);
            if left.is_zero() && self.engine.awaits(second) {
                return false;
            }
        }
        self.estimating.held = None;
        true
    }
}
