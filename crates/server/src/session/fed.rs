//! What feeds read: rows by the steady clock, put where they belong in run time.

use sense::Reading;

use super::command::Fed;
use super::state::RunSession;
use crate::problem::ApiError;

/// What was read so short a time ago is of the second that runs, s: else the reading of a moment
/// before its start would send the engine back through its past each second (judgement).
const NOW_S: f64 = 1.0;
/// Least time between two rows, s: run time is kept in milliseconds.
const APART_S: f64 = 0.001;

impl RunSession {
    /// Takes rows that feeds read. What was read before the run began is none of it. Gives how many
    /// were taken and how many the run has.
    pub(super) fn read_fed(&mut self, fed: &Fed) -> Result<(u64, u64), ApiError> {
        self.must_go_on()?;
        self.must_have_room(fed.rows.len())?;
        self.advance();
        let (now_s, steady_s) = (self.now_s(), self.clock.moment().steady_ms as f64 / 1000.0);
        let runs_since_s = self.engine.ticked().map_or(0.0, |second| second as f64 + APART_S);
        let mut rows: Vec<(f64, Reading)> = Vec::with_capacity(fed.rows.len());
        for row in &fed.rows {
            let ago_s = (steady_s - row.at_s).max(0.0);
            let mut time_s = now_s - ago_s;
            if time_s < 0.0 {
                continue;
            }
            if ago_s < NOW_S {
                let after_s = rows.last().map_or(self.fed_s, |before| before.0) + APART_S;
                // A clock that stands between two of them is none's fault.
                time_s = time_s.max(runs_since_s);
                time_s =
                    if time_s < after_s && after_s - time_s < NOW_S { after_s } else { time_s };
            }
            let time_s = (time_s * 1000.0).round() / 1000.0;
            let before_s = rows.last().map_or(f64::NEG_INFINITY, |before| before.0);
            rows.push((time_s.max(before_s), row.reading()));
        }
        let count = rows.len() as u64;
        if let Some((last_s, _)) = rows.last().copied() {
            self.note_fed_units(&fed.units)?;
            self.take_rows(&rows, None)?;
            self.fed_s = self.fed_s.max(last_s);
        }
        Ok((count, self.engine.row_count() as u64))
    }
}
