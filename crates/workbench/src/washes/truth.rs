//! What came of a wash: the parts of its `outcome.json` that are scored.

use ferment::State;
use serde::Deserialize;

/// Moments at which the state is asked for, beside the forecast.
const LATE: [&str; 5] = ["0.75", "0.9", "still", "still+48", "still+120"];

/// What came of a wash.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct WashTruth {
    /// What it is made of.
    pub kind: String,
    /// What it is asked at.
    pub moments: Vec<Moment>,
}

/// A moment, and what came of it where nothing unplanned was done after.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Moment {
    /// Share of the way, or `still` and hours after.
    pub moment: String,
    /// Hours from pitching.
    pub at_h: f64,
    /// A forecast is asked for.
    pub forecast: bool,
    /// The end, h from pitching.
    pub end_h: f64,
    /// Strength then, % vol.
    pub final_strength_vol: f64,
    /// `finished`, `slow` or `stuck`.
    pub kind_of_end: String,
    /// The state at the moment, where it is one.
    pub state: Option<State>,
}

impl Moment {
    /// The state that is asked for, if one is.
    #[must_use]
    pub fn state_asked(&self) -> Option<State> {
        self.state.filter(|_| LATE.contains(&self.moment.as_str()))
    }

    /// Anything is asked for.
    #[must_use]
    pub fn asked(&self) -> bool {
        self.forecast || self.state_asked().is_some()
    }
}
