//! How good forecasts were, once the truth is known: scores, coverage, paired differences, faults named.
//!
//! Pure: forecasts and truth are arguments, chance has a seed.

mod curve;
mod forecast;
mod normal;
mod truth;

pub use curve::{crps, place};
pub use forecast::{Forecast, named_fault};
pub use truth::{FRACTIONS, Truth};

use crate::rows::RecordedRun;

/// What had been recorded by run time `at_s`: a jar counts once it is closed.
#[must_use]
pub fn rows_until(rows: &RecordedRun, at_s: f64) -> RecordedRun {
    RecordedRun {
        readings: rows.readings.iter().filter(|row| row.0 <= at_s).cloned().collect(),
        actions: rows.actions.iter().filter(|row| row.0 <= at_s).cloned().collect(),
        jars: rows.jars.iter().filter(|jar| jar.end_s <= at_s).cloned().collect(),
    }
}
