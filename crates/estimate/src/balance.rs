//! Where the alcohol went: the balance of a run that is over, and the likeliest cause of a gap.

use serde::{Deserialize, Serialize};

/// The balance of pure alcohol of one run, litres.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AlcoholBalance {
    /// In the charge as stated.
    pub charged_l: f64,
    /// Gauged: volume and strength of jars, feints and samples. What was not gauged is not in it.
    pub collected_l: f64,
    /// Still in the boiler and held in column and drum: the residue as gauged, else as the fit to
    /// the whole run has it.
    pub left_l: f64,
    /// Charged less collected less left, less what was drawn and not gauged as far as it can be
    /// reckoned: alcohol that is missing (negative: too much).
    pub missing_l: f64,
    /// Standard deviation of the missing alcohol.
    pub missing_sd_l: f64,
    /// What may explain it, likeliest first; odds sum to 1.
    pub causes: Vec<Cause>,
    /// What the sums are made of; none in a balance that an earlier version worked out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub account: Option<Account>,
}

/// What a balance is made of, and what it can tell.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Account {
    /// What it says.
    pub verdict: Verdict,
    /// Drawn and not gauged, as far as it can be reckoned, L of pure alcohol.
    pub not_gauged_l: f64,
    /// Whether the residue was gauged, volume or weight and strength.
    pub residue_gauged: bool,
    /// Alcohol believed to have left as vapour, over all explanations by their odds, L.
    pub vapour_lost_l: f64,
    /// The parts, each with its doubt.
    pub parts: Vec<Part>,
    /// The gauging that would tell most about what is open; none where nothing is.
    pub tells_most: Option<Gauging>,
}

/// One part of a balance.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Part {
    /// `jars`, `feints`, `samples`, `not_read`, `not_measured`, `residue`, `stays`, `left`.
    pub code: String,
    /// In words.
    pub text: String,
    /// Pure alcohol, L.
    pub alcohol_l: f64,
    /// Its standard deviation by the instruments, or by the reckoning, L.
    pub sd_l: f64,
}

/// What a balance says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// It adds up, within what gauging leaves open.
    AddsUp,
    /// Alcohol is missing.
    Missing,
    /// More was found than was charged.
    TooMuch,
    /// Too little was gauged.
    CannotTell,
}

/// A gauging that would tell something.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Gauging {
    /// `jars`, `jars_strength`, `residue`, `charge`, `jars_again`, `jars_volume`.
    pub code: String,
    /// In words.
    pub text: String,
}

/// One explanation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cause {
    /// `charge_not_as_stated`, `vapour_lost`, `reading_error`, `held_back`, `left_in_boiler`,
    /// `nothing_missing`.
    pub code: String,
    /// In words.
    pub text: String,
    /// Probability among the causes, 0 to 1.
    pub odds: f64,
}
