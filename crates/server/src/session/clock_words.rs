//! What is said of the clocks of a run, and of a time when nobody attended it.

use advise::{Event, state_event};

use super::run_time::{Cause, ClockStep};

/// A stop of the program that is told, ms; judgement: one draws a jar in some minutes.
const UNATTENDED_LEAST_MS: i64 = 60_000;

impl ClockStep {
    /// What is said of it; nothing where the clocks agree.
    pub(super) fn event(&self) -> Option<Event> {
        let far = long((self.by_ms.saturating_abs() + 500) / 1000);
        let back = self.by_ms < 0;
        let way = if back { "back" } else { "forward" };
        let text = match self.cause {
            Cause::Set => {
                format!("This computer's clock was set {way} by {far}. Run time goes on as before.")
            }
            Cause::SetMeanwhile => format!(
                "This computer's clock was set {way} by {far} while the program was stopped. Run \
                 time goes on as before."
            ),
            Cause::Unbelieved => {
                let side = if back { "before" } else { "after" };
                format!(
                    "This computer's clock shows {far} {side} the last entry of this run. Run time \
                     goes on from that entry."
                )
            }
            Cause::LongStop => format!(
                "The program was stopped for {far}. No more than a day counts as run time: this run \
                 goes on from its last entry."
            ),
            Cause::Anew => return None,
        };
        let how_sure = match self.cause {
            Cause::LongStop => "from the last entry to now, by a clock that nobody sets",
            _ => "compared with run time, which no clock setting changes",
        };
        Some(state_event(self.anchor.time_s, "clock_set", text, how_sure))
    }
}

/// That a run went on unattended from `last_s`, the last that was stored, until it was opened again;
/// none where that was not long. When the program stopped in that time is not known. `steady` says by
/// which clock that is known.
pub(super) fn unattended(last_s: f64, now_s: f64, steady: bool) -> Option<Event> {
    #[expect(clippy::cast_possible_truncation, reason = "a run lasts a fortnight at most")]
    let away_ms = ((now_s - last_s) * 1000.0).round() as i64;
    let text = format!(
        "The program was stopped, and nothing is recorded of this run for {}: what ran is reckoned as \
         it was set before. Look at the jar and at the still.",
        long(away_ms / 1000)
    );
    let how_sure = if steady {
        "from the last entry to now, by a clock that nobody sets"
    } else {
        "from the last entry to now, by the clock of this computer, which can be set"
    };
    (away_ms >= UNATTENDED_LEAST_MS).then(|| state_event(now_s, "unattended", text, how_sure))
}

/// A length of time in words, to two units.
pub(super) fn long(seconds: i64) -> String {
    match seconds {
        ..60 => format!("{seconds} s"),
        60..3600 => format!("{} min {} s", seconds / 60, seconds % 60),
        3600..86_400 => format!("{} h {} min", seconds / 3600, seconds % 3600 / 60),
        _ => format!("{} d {} h", seconds / 86_400, seconds % 86_400 / 3600),
    }
}
