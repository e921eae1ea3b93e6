//! What an entry has beside what it moves: energy, water and money, and what a count found.

use serde::{Deserialize, Serialize};

use crate::amount::PureAlcohol;

/// What an act took beside alcohol.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spent {
    /// Energy, kWh.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub energy_kwh: Option<f64>,
    /// Water, L.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_l: Option<f64>,
    /// Money, in the currency of the house.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<f64>,
}

impl Spent {
    /// A share of each: for each of so many; nothing of none.
    #[must_use]
    pub fn each(self, of: f64) -> Self {
        let one = |amount: Option<f64>| amount.filter(|_| of > 0.0).map(|amount| amount / of);
        let Self { energy_kwh, water_l, cost } = self;
        Self { energy_kwh: one(energy_kwh), water_l: one(water_l), cost: one(cost) }
    }
}

/// What a count found, beside what the book had.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Counted {
    /// Counted.
    #[serde(rename = "found_nl")]
    pub found: PureAlcohol,
    /// In the book then.
    #[serde(rename = "book_nl")]
    pub book: PureAlcohol,
}
