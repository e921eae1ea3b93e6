//! How good forecasts were, once the truth is known: scores, coverage, paired differences, faults named,
//! prompts that came in time.
//!
//! Pure: forecasts and truth are arguments, chance has a seed.

mod alarms;
mod character;
mod checks;
pub mod column_page;
mod curve;
pub mod drawn;
mod forecast;
mod gains;
pub mod held;
pub mod invariants;
mod naive;
mod naming;
mod paired;
mod prompt;
mod scored;
mod summary;
mod truth;
pub mod washes;

pub use alarms::{AlarmMark, alarms_in_words, recorded_alarms, rehearsed_alarms};
pub use character::{TraitMark, trait_marks};
pub use checks::{Check, SideOf, checks, sides, worst, worst_runs};
pub use curve::{crps, place};
pub use forecast::Forecast;
pub use gains::{Other, gain_checks};
pub use naive::naive_strength_vol;
pub use naming::{Accused, FaultTable, Naming};
pub use paired::{Gain, Paired, compare};
pub use prompt::{NEAR_CODE, PromptMark, PromptTable, is_scored};
pub use scored::{Mark, Scored, Standing};
pub use summary::{PLACES, Side, StrengthSide, Summary, fractions, groups, places, summaries};
pub use truth::{FRACTIONS, Truth};

#[cfg(test)]
mod prompt_tests;
#[cfg(test)]
mod tests;
