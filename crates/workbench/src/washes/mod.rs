//! How good forecasts of washes were, once it is known how they ended: scores of the end and the
//! strength, and what was said of their state.
//!
//! From definitions alone: the continuous ranked probability score of five quantiles, the share of
//! truths inside each band, and a table of states with what each wrong answer costs.

mod page;
mod summary;
mod truth;

#[cfg(test)]
mod tests;

pub use page::page;
pub use summary::{Scores, States, scores, states};
pub use truth::{Moment, WashTruth};

use ferment::State;
use quantities::Band;

/// What was said of a wash at a moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Said {
    /// Its folder.
    pub run: String,
    /// What it is made of.
    pub kind: String,
    /// What it was asked at, and what came.
    pub moment: Moment,
    /// The end foreseen, h.
    pub end_h: Band,
    /// The strength foreseen, % vol.
    pub strength_vol: Band,
    /// The state told.
    pub state: State,
    /// Chance of working, slow, stuck and finished.
    pub chance: [f64; 4],
    /// What it took, ms.
    pub took_ms: f64,
}
