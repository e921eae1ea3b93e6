//! What a country asks of an account: its unit, its rounding, its bounds; one file each.

use std::collections::BTreeMap;

use alcoholometry::us;
use quantities::TypedValue;
use serde::{Deserialize, Serialize};

use crate::amount::PureAlcohol;
use crate::entry::Entry;
use crate::error::AccountError;
use crate::kind::EntryKind;

/// The files, by name.
pub const PROFILES: [(&str, &str); 3] = [
    ("metric", include_str!("../profiles/metric.toml")),
    ("us", include_str!("../profiles/us.toml")),
    ("eu", include_str!("../profiles/eu.toml")),
];

/// What an account is reported in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AccountUnit {
    /// Litres of pure alcohol at 20 °C.
    PureAlcoholL,
    /// Hectolitres of pure alcohol at 20 °C.
    PureAlcoholHl,
    /// US proof gallons at 60 °F.
    ProofGallons,
}

impl AccountUnit {
    /// Litres of pure alcohol at 20 °C as so many of this unit.
    #[must_use]
    pub fn of_litres(self, litres: f64) -> f64 {
        match self {
            Self::PureAlcoholL => litres,
            Self::PureAlcoholHl => litres / 100.0,
            Self::ProofGallons => us::proof_gallons_of_pure_alcohol(litres),
        }
    }

    /// The letters behind an amount in it; none behind litres.
    #[must_use]
    pub const fn letters(self) -> &'static str {
        match self {
            Self::PureAlcoholL => "",
            Self::PureAlcoholHl => "hl",
            Self::ProofGallons => "pg",
        }
    }

    /// An amount in it as it was typed; nothing where that is litres.
    #[must_use]
    pub fn typed(self, field: impl Into<String>, amount: f64) -> Option<TypedValue> {
        let unit = Some(self.letters()).filter(|letters| !letters.is_empty())?.to_owned();
        Some(TypedValue { field: field.into(), value: amount, unit })
    }

    /// So many of this unit as pure alcohol, rounded once to the nanolitre.
    ///
    /// # Errors
    /// As [`PureAlcohol::of_litres`].
    pub fn alcohol(self, amount: f64) -> Result<PureAlcohol, AccountError> {
        PureAlcohol::of_litres(amount / self.of_litres(1.0))
    }
}

/// A profile.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Profile {
    /// Its name.
    pub name: String,
    /// In words.
    pub title: String,
    /// What sums are shown in.
    pub unit: AccountUnit,
    /// With how many decimals.
    pub decimals: usize,
    /// An entry later than this is marked, h.
    pub late_hours: f64,
    /// Days after the end of a month within which it is closed.
    pub close_within_days: u32,
    /// What may stay not explained, % of what was there to account for.
    pub difference_percent: f64,
    /// By how much two figures of one gauge may differ, %.
    pub mismatch_percent: f64,
    /// By how much the strength may differ from the label, % vol.
    pub label_tolerance_vol: f64,
    /// By how much count times size may differ from what was filled, %.
    pub fill_tolerance_percent: f64,
    /// Days after which a jar or feints without a fate are asked about.
    pub idle_days: u32,
    /// Years a record is kept.
    pub keep_years: u32,
    /// What the authority must accept.
    pub accepts: String,
    /// What an act may lose of what it moves, % by kind.
    pub loss_norms: BTreeMap<EntryKind, f64>,
}

impl Profile {
    /// An amount in the unit of the profile, not rounded.
    #[must_use]
    pub fn amount(&self, alcohol: PureAlcohol) -> f64 {
        self.unit.of_litres(alcohol.litres())
    }

    /// An amount as it is reported: rounded once, at the end.
    #[must_use]
    pub fn reported(&self, alcohol: PureAlcohol) -> String {
        let amount = self.amount(alcohol);
        let amount = match self.unit {
            AccountUnit::ProofGallons if amount >= 0.0 => us::rounded_tenth(amount),
            AccountUnit::ProofGallons => -us::rounded_tenth(-amount),
            _ => amount,
        };
        format!("{amount:.*}", self.decimals)
    }

    /// Whether an act was entered later than is allowed; the end of a period is none.
    #[must_use]
    pub fn is_late(&self, entry: &Entry) -> bool {
        let hours = (entry.entered_ms - entry.act_ms) as f64 / 3_600_000.0;
        entry.kind != EntryKind::Close && hours > self.late_hours
    }

    /// The word behind a reported amount.
    #[must_use]
    pub const fn unit_word(&self) -> &'static str {
        match self.unit {
            AccountUnit::PureAlcoholL => "L pure alcohol",
            AccountUnit::PureAlcoholHl => "hL pure alcohol",
            AccountUnit::ProofGallons => "proof gallons",
        }
    }
}
