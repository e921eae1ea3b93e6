//! Where the alcohol went: the balance of a run that is over, and the likeliest cause of a gap.

use serde::{Deserialize, Serialize};

/// The balance of pure alcohol of one run, litres.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AlcoholBalance {
    /// In the charge as stated.
    pub charged_l: f64,
    /// Collected, all cuts.
    pub collected_l: f64,
    /// Still in pot, column and drum, as the fit to the whole run has it.
    pub left_l: f64,
    /// Charged less collected less left: alcohol that is missing (negative: too much).
    pub missing_l: f64,
    /// Standard deviation of the missing alcohol from gauging and measuring alone.
    pub missing_sd_l: f64,
    /// What may explain it, likeliest first; odds sum to 1.
    pub causes: Vec<Cause>,
}

/// One explanation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cause {
    /// `charge_not_as_stated`, `vapour_lost`, `reading_error`, `held_back`, `nothing_missing`.
    pub code: String,
    /// In words.
    pub text: String,
    /// Probability among the causes, 0 to 1.
    pub odds: f64,
}
