//! What the engine asks is worked out on a thread beside the session's own, so that neither run time
//! nor anybody who asks the session waits for it.

use std::time::{Duration, Instant};

use super::state::RunSession;

/// Longest that run time waits for an answer after its question was handed on.
const HOLD_MAX: Duration = Duration::from_secs(10);

impl RunSession {
    /// Hands on what the engine asks, and brings back what was found within that time.
    pub(super) fn think(&mut self, at_most: Duration) {
        self.hand_on();
        if let Some((ticket, answer)) = self.estimating.fetch(at_most) {
            self.engine.answered(ticket, answer);
            self.hand_on();
        }
    }

    fn hand_on(&mut self) {
        if !self.estimating.is_idle() {
            return;
        }
        let Some((ticket, request)) = self.engine.take_question() else { return };
        if let Err(error) = self.estimating.give(self.id.as_str(), ticket, request) {
            // Without a thread the question is let go by when its answer is due.
            tracing::error!("run {}: no thread for an estimate: {error}", self.id);
        }
    }

    /// Whether that second can be ended: no answer is missing that takes effect in it. Waits for
    /// one until that moment, and once it took too long goes on without it.
    pub(super) fn may_tick(&mut self, second: u64, until: Instant) -> bool {
        self.hand_on();
        while self.engine.awaits(second) {
            if self.estimating.is_overdue(HOLD_MAX) {
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
        self.estimating.release();
        true
    }
}
