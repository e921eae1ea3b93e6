//! What a thread that reads is told and tells.

use std::io::{self, ErrorKind};
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use feeds::{Told, Unread};

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

    /// Tells a line or row that the source wrote so long ago, s.
    pub(super) fn tell_ago(&self, ago_s: f64, told: &Told) {
        self.desks.hear_apart(self.seat, ago_s, told);
    }

    /// Tells a row that the source wrote so long ago, s, unless it was told before.
    pub(super) fn tell_once(&self, ago_s: f64, told: &Told) {
        self.desks.hear_ago(self.seat, ago_s, told);
    }

    /// Tells values of the source, each with its place.
    pub(super) fn tell_values(&self, values: &[(usize, Result<f64, Unread>)]) {
        self.desks.hear_values(self.seat, values);
    }

    /// Now on the wall, ms UTC.
    pub(super) fn now_utc_ms(&self) -> i64 {
        self.desks.now_utc_ms()
    }

    /// Now on the clock that nobody sets, s.
    pub(super) fn now_s(&self) -> f64 {
        self.desks.now_s()
    }

    /// The folder that paths begin in.
    pub(super) fn folder(&self) -> &Path {
        self.desks.folder()
    }

    /// Tells what is the matter with the source.
    pub(super) fn say(&self, what: &str) {
        self.desks.trouble(self.seat, what);
    }

    /// Tells that the source cannot be read.
    pub(super) fn trouble(&self, path: &str, error: &io::Error) {
        let what = match error.kind() {
            ErrorKind::IsADirectory => "it is a folder; name the file or device in it".to_owned(),
            _ => error.to_string(),
        };
        self.desks.trouble(self.seat, &format!("{path} cannot be read: {what}"));
    }

    /// Tells that the source can be read again and has said nothing since.
    pub(super) fn no_news(&self, path: &str) {
        self.desks.trouble(
            self.seat,
            &format!(
                "{path} can be read; no row has come yet (rows that were there count as past)"
            ),
        );
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
