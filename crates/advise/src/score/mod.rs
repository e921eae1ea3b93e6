//! How good forecasts were, once the truth is known: scores, coverage, paired differences, faults named,
//! prompts that came in time.
//!
//! Pure: forecasts and truth are arguments, chance has a seed.

mod character;
mod checks;
mod curve;
mod forecast;
mod gains;
mod naive;
mod naming;
mod normal;
mod paired;
mod prompt;
mod scored;
mod summary;
mod truth;

pub use character::{TraitMark, trait_marks};
pub use checks::{Check, SideOf, checks, sides, worst, worst_runs};
pub use curve::{crps, place};
pub use forecast::{Forecast, named_fault};
pub use gains::{Other, gain_checks};
pub use naive::naive_strength_vol;
pub use naming::{Accused, FaultTable, Naming};
pub use paired::{Gain, Paired, compare};
pub use prompt::{NEAR_CODE, PromptMark, PromptTable, is_scored};
pub use scored::{Mark, Scored, Standing};
pub use summary::{PLACES, Side, StrengthSide, Summary, fractions, groups, places, summaries};
pub use truth::{FRACTIONS, Truth};

use crate::rows::RecordedRun;

/// What had been recorded by run time `at_s`: a jar counts once it is closed.
#[must_use]
pub fn rows_until(rows: &RecordedRun, at_s: f64) -> RecordedRun {
    RecordedRun {
        readings: rows.readings.iter().filter(|row| row.0 <= at_s).copied().collect(),
        actions: rows.actions.iter().filter(|row| row.0 <= at_s).cloned().collect(),
        jars: rows.jars.iter().filter(|jar| jar.end_s <= at_s).cloned().collect(),
    }
}

#[cfg(test)]
mod prompt_tests;
#[cfg(test)]
mod tests;
