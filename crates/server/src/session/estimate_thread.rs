//! The thread that works out estimates for a session, each within a limit.

use std::time::{Duration, Instant};

use advise::{Answer, Request};

use super::engine_rows::Ticket;
use super::worker::Worker;

/// Longest that an answer is worth waiting for: it takes effect a minute after its question.
const ESTIMATE_MAX: Duration = Duration::from_mins(1);
/// Most threads that may break down or take too long in one session; then it does without.
const THREADS_MAX: u32 = 4;

/// The thread, once there was a question, and since when run time waits for it.
#[derive(Debug, Default)]
pub(super) struct EstimateThread {
    worker: Option<Worker<(Ticket, Answer)>>,
    /// Since when it is at its question.
    given: Option<Instant>,
    /// Since when run time waits.
    held: Option<Instant>,
    /// Threads that were given up.
    lost: u32,
}

impl EstimateThread {
    /// Whether it can take a question. One that broke down, or has taken too long, is given up.
    pub(super) fn is_idle(&mut self) -> bool {
        let late = self.given.is_some_and(|given| given.elapsed() >= ESTIMATE_MAX);
        let gone = self.worker.as_ref().is_some_and(Worker::is_gone);
        if late || gone {
            (self.worker, self.given) = (None, None);
            self.lost += 1;
        }
        self.lost < THREADS_MAX && self.worker.as_ref().is_none_or(Worker::is_idle)
    }

    /// Gives it a question.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub(super) fn give(
        &mut self,
        name: &str,
        ticket: Ticket,
        request: Request,
    ) -> std::io::Result<()> {
        let worker = match self.worker.take() {
            Some(worker) => worker,
            None => Worker::start(format!("estimate {name}"))?,
        };
        let worker = self.worker.insert(worker);
        if worker.give(move || (ticket, request.compute())) {
            self.given = Some(Instant::now());
        }
        Ok(())
    }

    /// An answer, where it comes within that time.
    pub(super) fn fetch(&mut self, at_most: Duration) -> Option<(Ticket, Answer)> {
        let found = self.worker.as_mut()?.fetch(at_most)?;
        self.given = None;
        Some(found)
    }

    /// Whether run time has waited too long, or for nothing. Time that passed before it was held
    /// up counts: on a computer that is too slow it is hardly held up at all.
    pub(super) fn is_overdue(&mut self, hold_max: Duration) -> bool {
        let held = *self.held.get_or_insert_with(Instant::now);
        let since = self.given.map_or(held, |given| given.min(held));
        let gone = self.worker.as_ref().is_none_or(Worker::is_gone);
        gone || since.elapsed() >= hold_max
    }

    /// Run time goes on.
    pub(super) fn release(&mut self) {
        self.held = None;
    }
}
