//! The thread that works out estimates for a session.

use std::time::Instant;

use advise::Answer;

use super::engine_rows::Ticket;
use super::worker::Worker;

/// The thread, once there was a question, and since when run time waits for it.
#[derive(Debug, Default)]
pub(super) struct EstimateThread {
    pub(super) worker: Option<Worker<(Ticket, Answer)>>,
    pub(super) held: Option<Instant>,
}
