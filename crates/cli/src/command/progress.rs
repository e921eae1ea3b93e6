//! How far long work has come: one line on standard error, and only where that is a terminal.

use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};

use crate::print::clock;

/// How often the line is drawn again.
const REDRAWN_EVERY: Duration = Duration::from_millis(200);

/// The line; gone when it is dropped.
pub(super) struct Progress {
    bar: ProgressBar,
    whole_s: Option<f64>,
}

impl Progress {
    /// Of a run that is played, with its length where that is known.
    pub(super) fn of_run(whole_s: Option<f64>) -> Self {
        Self { bar: spinner(), whole_s }
    }

    /// Of so many things to do.
    pub(super) fn of_things(count: usize) -> Self {
        let bar = ProgressBar::new(u64::try_from(count).unwrap_or(u64::MAX));
        // A template that does not parse would only look plainer.
        if let Ok(style) = ProgressStyle::with_template("{spinner} {pos} of {len}  {msg}") {
            bar.set_style(style);
        }
        bar.enable_steady_tick(REDRAWN_EVERY);
        Self { bar, whole_s: None }
    }

    /// The run is played up to here.
    pub(super) fn at_time(&self, time_s: f64) {
        let of = self.whole_s.map(|whole_s| format!(" of {}", clock(whole_s)));
        self.bar.set_message(format!("run time {}{}", clock(time_s), of.unwrap_or_default()));
    }

    /// This is being done.
    pub(super) fn doing(&self, what: String) {
        self.bar.set_message(what);
    }

    /// One more is done.
    pub(super) fn one_done(&self) {
        self.bar.inc(1);
    }

    /// Does what writes to the terminal with the line out of the way.
    pub(super) fn aside<R>(&self, write: impl FnOnce() -> R) -> R {
        self.bar.suspend(write)
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}

fn spinner() -> ProgressBar {
    let bar = ProgressBar::new_spinner();
    bar.enable_steady_tick(REDRAWN_EVERY);
    bar
}
