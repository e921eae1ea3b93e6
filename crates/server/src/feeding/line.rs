//! What a thread that reads is told and tells.

use std::io;
use std::sync::Arc;
use std::time::Duration;

use feeds::Told;

use super::desks::{Desks, Seat};
use super::stop::Stop;

/// The line between such a thread and the desks.
#[derive(Debug)]
pub(super) struct Line {
    desks: Arc<Desks>,
    seat: Seat,
    stop: Arc<Stop>,
}

impl Line {
    /// The line of a thread that reads the source of that seat.
    pub(super) fn new(desks: &Arc<Desks>, seat: Seat, stop: &Arc<Stop>) -> Self {
        Self { desks: Arc::clone(desks), seat, stop: Arc::clone(stop) }
    }

    /// Tells what a look gave.
    pub(super) fn tell(&self, told: &Told) {
        self.desks.hear(self.seat, told);
    }

    /// Tells that the source cannot be read.
    pub(super) fn trouble(&self, path: &str, error: &io::Error) {
        self.desks.trouble(self.seat, &format!("{path} cannot be read: {error}"));
    }

    /// Tells that the source can be read again and has said nothing since.
    pub(super) fn no_news(&self, path: &str) {
        self.desks.trouble(self.seat, &format!("{path} can be read; no row has come yet"));
    }

    /// Waits so long; gives whether to stop.
    pub(super) fn wait(&self, longest: Duration) -> bool {
        self.stop.wait(longest)
    }

    /// Whether to stop.
    pub(super) fn is_over(&self) -> bool {
        self.stop.is_told()
    }
}
