//! A gauge: the raw reading beside what follows from it, by which table, with which instruments.

use alcoholometry::gauge::{GaugeInput, Scale, gauge};
use alcoholometry::{kernel, us, volume, weighing};
use serde::{Deserialize, Serialize};

use crate::amount::PureAlcohol;
use crate::error::AccountError;
use crate::name::check_words;

/// The table every strength and volume of this version comes from.
pub const TABLE: &str = "OIML R 22 (1975)";
/// Most instruments of one gauge.
const INSTRUMENTS_MAX: usize = 8;

/// What a quantity was read in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Unit {
    /// Litres at the temperature of the reading.
    L,
    /// Kilograms as a balance in air shows them.
    Kg,
    /// US wine gallons at the temperature of the reading.
    UsGal,
    /// Pounds as a balance in air shows them.
    Lb,
}

impl Unit {
    /// Every unit.
    pub const ALL: [Self; 4] = [Self::L, Self::Kg, Self::UsGal, Self::Lb];

    /// Its word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::L => "l",
            Self::Kg => "kg",
            Self::UsGal => "us_gal",
            Self::Lb => "lb",
        }
    }
}

/// An instrument, and the state of its calibration when it was used.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Instrument {
    /// What it is called.
    pub id: String,
    /// When its calibration ends, ms of UTC; none where nobody knows of one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub due_ms: Option<i64>,
    /// The entry or paper of its calibration.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub calibration: Option<String>,
}

impl Instrument {
    /// Whether it was past its date at a moment.
    #[must_use]
    pub fn is_overdue(&self, at_ms: i64) -> bool {
        self.due_ms.is_some_and(|due_ms| due_ms <= at_ms)
    }

    /// Its name, and whether it was overdue then.
    #[must_use]
    pub fn words(&self, at_ms: i64) -> String {
        let mark = if self.is_overdue(at_ms) { " (overdue then)" } else { "" };
        format!("{}{mark}", self.id)
    }
}

/// What was read.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Raw {
    /// How much, as read.
    pub quantity: f64,
    /// In which unit.
    pub unit: Unit,
    /// What the glass read.
    pub reading: f64,
    /// What its numbers mean: `vol20`, `vol60`, `proof60`, `density`.
    #[serde(with = "scale")]
    pub scale: Scale,
    /// Temperature of the liquid at both, °C.
    pub celsius: f64,
    /// Standard deviation of the quantity, in its unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub quantity_sd: Option<f64>,
}

/// A gauge as an entry keeps it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Gauge {
    /// What was read.
    pub raw: Raw,
    /// Litres at 20 °C that follow.
    pub litres_20c: f64,
    /// True strength, % vol at 20 °C.
    pub strength_vol: f64,
    /// Pure alcohol, rounded once.
    #[serde(rename = "nl")]
    pub alcohol: PureAlcohol,
    /// Its standard deviation, L.
    pub alcohol_sd_l: f64,
    /// US proof gallons at 60 °F, not rounded.
    pub proof_gallons: f64,
    /// The table.
    pub table: String,
    /// With what it was read.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub instruments: Vec<Instrument>,
}

impl Gauge {
    /// What follows from a reading, by the functions that every gauge of the bench uses.
    ///
    /// # Errors
    /// [`AccountError::Alcoholometry`] for a reading no liquid gives, [`AccountError::OutOfRange`].
    pub fn of(raw: Raw, instruments: Vec<Instrument>) -> Result<Self, AccountError> {
        let quantity_sd = raw.quantity_sd.unwrap_or_default();
        for (field, value) in [("quantity", raw.quantity), ("quantity_sd", quantity_sd)] {
            if !(0.0..=1e7).contains(&value) {
                return Err(AccountError::OutOfRange {
                    field,
                    value: value.to_string(),
                    bound: "must lie from 0 to 10000000",
                    hint: "what was read, in its unit, the vessel taken off",
                });
            }
        }
        let found = gauge(GaugeInput::new(raw.reading, raw.celsius, raw.scale))?;
        let p = kernel::mass_fraction_from_vol20(found.strength_vol_20c / 100.0);
        let of_kilograms = |kg: f64| {
            let density = kernel::density_kg_m3(p, raw.celsius);
            volume::litres(weighing::mass_kg(kg, density), raw.celsius, p)
        };
        let litres = match raw.unit {
            Unit::L => raw.quantity,
            Unit::UsGal => raw.quantity * us::GALLON_L,
            Unit::Kg => of_kilograms(raw.quantity),
            Unit::Lb => of_kilograms(raw.quantity * us::POUND_KG),
        };
        let litres_20c = volume::litres_20c(litres, raw.celsius, p);
        let strength_vol = found.strength_vol_20c;
        let share_sd = if raw.quantity > 0.0 { quantity_sd / raw.quantity } else { 0.0 };
        let alcohol_sd_l =
            litres_20c / 100.0 * f64::hypot(found.strength_sd, strength_vol * share_sd);
        let alcohol = PureAlcohol::of_liquid(litres_20c, strength_vol)?;
        Ok(Self {
            raw,
            litres_20c,
            strength_vol,
            alcohol,
            alcohol_sd_l,
            proof_gallons: us::proof_gallons_of_pure_alcohol(litres_20c * strength_vol / 100.0),
            table: TABLE.to_owned(),
            instruments,
        })
    }

    /// US wine gallons at 60 °F.
    #[must_use]
    pub fn wine_gallons(&self) -> f64 {
        let p = kernel::mass_fraction_from_vol20(self.strength_vol / 100.0);
        us::wine_gallons_of_20c(self.litres_20c, p)
    }

    /// The same reading by the table of this version; the entry keeps what it was entered with.
    ///
    /// # Errors
    /// As [`Gauge::of`].
    pub fn again(&self) -> Result<Self, AccountError> {
        Self::of(self.raw, self.instruments.clone())
    }

    /// The instruments that were past their date at a moment.
    pub fn overdue(&self, at_ms: i64) -> impl Iterator<Item = &Instrument> {
        self.instruments.iter().filter(move |one| one.is_overdue(at_ms))
    }

    /// With what it was read, each with the word whether it was overdue then; nothing where none is
    /// named.
    #[must_use]
    pub fn with_words(&self, at_ms: i64) -> Option<String> {
        let words: Vec<String> = self.instruments.iter().map(|one| one.words(at_ms)).collect();
        (!words.is_empty()).then(|| words.join(", "))
    }

    pub(crate) fn check(&self) -> Result<(), AccountError> {
        check_words("table", &self.table)?;
        if self.instruments.len() > INSTRUMENTS_MAX {
            return Err(AccountError::OutOfRange {
                field: "instruments",
                value: self.instruments.len().to_string(),
                bound: "must be at most 8",
                hint: "name those that were read",
            });
        }
        for one in &self.instruments {
            let words = [Some(&one.id), one.calibration.as_ref()];
            for text in words.into_iter().flatten() {
                check_words("instrument", text)?;
                if text.contains(['|', ';']) {
                    return Err(AccountError::OutOfRange {
                        field: "instrument",
                        value: crate::error::shown(text),
                        bound: "must hold neither | nor ;",
                        hint: "these part instruments in a book",
                    });
                }
            }
        }
        let numbers = [
            ("quantity", self.raw.quantity),
            ("reading", self.raw.reading),
            ("celsius", self.raw.celsius),
            ("litres_20c", self.litres_20c),
            ("strength_vol", self.strength_vol),
            ("alcohol_sd_l", self.alcohol_sd_l),
            ("proof_gallons", self.proof_gallons),
        ];
        match numbers.into_iter().find(|(_, value)| !value.is_finite()) {
            Some((field, value)) => Err(AccountError::OutOfRange {
                field,
                value: value.to_string(),
                bound: "must be a finite number",
                hint: "read it again",
            }),
            None => Ok(()),
        }
    }
}

/// A scale by its name.
mod scale {
    use alcoholometry::gauge::Scale;
    use serde::{Deserialize, Deserializer, Serializer};

    #[expect(clippy::trivially_copy_pass_by_ref, reason = "serde asks so")]
    pub(super) fn serialize<S: Serializer>(scale: &Scale, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(scale.name())
    }

    pub(super) fn deserialize<'a, D: Deserializer<'a>>(from: D) -> Result<Scale, D::Error> {
        let name = String::deserialize(from)?;
        let unknown = || serde::de::Error::custom("scale must be vol20, vol60, proof60 or density");
        Scale::from_name(&name).ok_or_else(unknown)
    }
}
