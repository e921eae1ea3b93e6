//! What is believed about a still: its traits as a Gaussian, and how they moved from run to run.

use serde::{Deserialize, Serialize};

use super::counted::Counted;

/// What can be learned about a still. Factors are logarithms of the ratio to what its owner
/// states, so that 0 means "as stated"; offsets are in kelvin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Trait {
    /// Ln of the contact stages over those stated (separating power).
    Separation,
    /// Ln of the boiler's heat loss over that stated.
    HeatLoss,
    /// Ln of the heat loss of column and head over that stated.
    ColumnLoss,
    /// Ln of the heater's power over its label.
    Heater,
    /// Ln of the hold-up over that stated.
    HoldUp,
    /// What the head thermometer reads too high, K.
    HeadOffset,
    /// What the pot thermometer reads too high, K.
    PotOffset,
    /// Ln of what the take-off valve gives over what it is set to.
    Valve,
    /// Ln of the hearts' alcohol over what the model finds with everything else known.
    Yield,
    /// Ln of the alcohol that is kept over that charged: the rest leaves as vapour uncondensed.
    VapourLost,
}

impl Trait {
    /// All traits.
    pub const ALL: [Self; 10] = [
        Self::Separation,
        Self::HeatLoss,
        Self::ColumnLoss,
        Self::Heater,
        Self::HoldUp,
        Self::HeadOffset,
        Self::PotOffset,
        Self::Valve,
        Self::Yield,
        Self::VapourLost,
    ];

    /// The name used in files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Separation => "separation",
            Self::HeatLoss => "heat_loss",
            Self::ColumnLoss => "column_loss",
            Self::Heater => "heater",
            Self::HoldUp => "hold_up",
            Self::HeadOffset => "head_offset",
            Self::PotOffset => "pot_offset",
            Self::Valve => "valve",
            Self::Yield => "yield",
            Self::VapourLost => "vapour_lost",
        }
    }

    /// Whether it is the logarithm of a ratio to what is stated (else kelvins).
    #[must_use]
    pub const fn is_ratio(self) -> bool {
        !matches!(self, Self::HeadOffset | Self::PotOffset)
    }
}

/// The belief about one trait.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Belief {
    /// Which.
    pub of: Trait,
    /// Mean: ln of a ratio, or K.
    pub mean: f64,
    /// Standard deviation, same unit.
    pub sd: f64,
}

/// Beliefs after one run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Learned {
    /// The run's title.
    pub title: String,
    /// When it started, as its plan says.
    pub start: String,
    /// What that run alone says, without what was believed before.
    pub run: Vec<Belief>,
    /// What is believed after it.
    pub after: Vec<Belief>,
    /// What it counts for in how this person runs this still; none where an earlier version learned.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub counted: Option<Counted>,
}

/// What is believed about a still.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct Character {
    /// Present beliefs: one for each of [`Trait::ALL`] (what an earlier version
    /// learned lacks the latest), or none before the first run.
    pub beliefs: Vec<Belief>,
    /// How they came about, oldest run first.
    pub history: Vec<Learned>,
}

impl Character {
    /// How many runs it rests on.
    #[must_use]
    pub fn runs(&self) -> usize {
        self.history.len()
    }

    /// The belief about a trait, once there was a run.
    #[must_use]
    pub fn belief(&self, of: Trait) -> Option<Belief> {
        self.beliefs.iter().copied().find(|belief| belief.of == of)
    }
}
