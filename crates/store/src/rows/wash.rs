//! Rows of a wash: what was read, what a floating sensor sent, what was done; in a folder as in the
//! record.

use ferment::{Act, ActKind, FloatReading, Glass, Tasted};
use serde::{Deserialize, Serialize};

use super::fault::{RowFault, check_note, optional};

/// The words of an act, its kind, its unit and its bounds.
const ACTS: [(&str, ActKind, &str, (f64, f64)); 6] = [
    ("pitch", ActKind::Pitch, "g", (0.0, 50_000.0)),
    ("nutrient", ActKind::Nutrient, "g", (0.0, 50_000.0)),
    ("heater", ActKind::Heater, "C", (0.0, 50.0)),
    ("chalk", ActKind::Chalk, "g", (0.0, 50_000.0)),
    ("yeast", ActKind::Yeast, "g", (0.0, 50_000.0)),
    ("moved", ActKind::Moved, "", (0.0, 0.0)),
];
const LEAVE_EMPTY: &str = "leave it empty where nothing was read";
/// Words of a note that say what no column holds; what stands beside them is free.
const COOLED: &str = "cooled";
const NO_SUGAR: [(&str, bool); 2] = [("no taste of sugar", true), ("tastes of sugar", false)];
const GAS: [(&str, bool); 2] = [("gas nearly stopped", true), ("gas still comes", false)];

/// What a person read.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WashReading {
    /// Specific gravity as read, at the temperature of the sample.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gravity: Option<f64>,
    /// Temperature of the sample, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
    /// Fermenter and wash together, kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weight_kg: Option<f64>,
    /// Acidity.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ph: Option<f64>,
    /// A remark; some words of it count, see [`WashReading::noted`].
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// What was done.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WashAct {
    /// `pitch`, `nutrient`, `heater`, `chalk`, `yeast` or `moved`.
    pub action: String,
    /// How much, in the unit of the act.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
    /// A remark.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// What a floating sensor sent.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WashFloat {
    /// Gravity by its own calibration.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gravity: Option<f64>,
    /// Temperature of the wash, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
}

impl WashReading {
    /// Refuses what no wash gives.
    ///
    /// # Errors
    /// [`RowFault`] naming column, value, bound and hint.
    pub fn check(&self) -> Result<(), RowFault> {
        let hint = "specific gravity is about 1: 1.050, not 50 or 1050";
        optional("gravity", self.gravity, 0.95, 1.3, "", hint)?;
        optional("temperature_c", self.temperature_c, -10.0, 105.0, "°C", LEAVE_EMPTY)?;
        optional("weight_kg", self.weight_kg, 0.0, 20_000.0, "kg", "fermenter and wash together")?;
        optional("ph", self.ph, 0.0, 14.0, "", LEAVE_EMPTY)?;
        check_note(&self.note)
    }

    /// Whether it says nothing at all.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// The note of a sample that was cooled, and of what tongue and ear say, with a remark.
    #[must_use]
    pub fn noted(cooled: bool, tasted: Tasted, remark: &str) -> String {
        let word = |of: [(&'static str, bool); 2], said: Option<bool>| {
            of.into_iter().find(|(_, means)| Some(*means) == said).map(|found| found.0)
        };
        let words = [
            cooled.then_some("sample cooled"),
            word(NO_SUGAR, tasted.no_sugar),
            word(GAS, tasted.gas_stopped),
            Some(remark.trim()).filter(|remark| !remark.is_empty()),
        ];
        words.into_iter().flatten().collect::<Vec<_>>().join("; ")
    }

    /// Whether the sample was cooled, by its note.
    #[must_use]
    pub fn is_cooled(&self) -> bool {
        self.note.to_lowercase().contains(COOLED)
    }

    /// What tongue and ear said, by its note: only these very words, each between `;`, count.
    #[must_use]
    pub fn tasted(&self) -> Tasted {
        let says = |of: [(&str, bool); 2]| {
            self.note.split(';').find_map(|part| {
                of.into_iter().find(|(words, _)| *words == part.trim()).map(|found| found.1)
            })
        };
        Tasted { no_sugar: says(NO_SUGAR), gas_stopped: says(GAS) }
    }

    /// As the forecast takes it.
    #[must_use]
    pub fn glass(&self, time_h: f64) -> Glass {
        let Self { gravity, temperature_c, weight_kg, ph, .. } = *self;
        Glass { time_h, gravity, temperature_c, weight_kg, ph, cooled: self.is_cooled() }
    }
}

impl WashAct {
    /// Its kind.
    ///
    /// # Errors
    /// [`RowFault`] for an unknown word, a missing amount, one out of its bounds.
    pub fn kind(&self) -> Result<ActKind, RowFault> {
        let word = self.action.as_str();
        let Some((_, kind, unit, (low, high))) = ACTS.iter().find(|known| known.0 == word) else {
            let known = ACTS.map(|known| known.0).join(", ");
            let bound = format!("is unknown; expected one of {known}");
            return Err(RowFault::new("action", word, bound, "put other words into the note"));
        };
        optional("value", self.value, *low, *high, unit, "the amount of this action")?;
        if self.value.is_none() && !unit.is_empty() {
            let bound = format!("must be given in {unit} for {word}");
            return Err(RowFault::new("value", "", bound, "how much was it?"));
        }
        check_note(&self.note)?;
        Ok(*kind)
    }

    /// The unit of its amount; empty where it has none.
    #[must_use]
    pub fn unit(&self) -> &'static str {
        ACTS.iter().find(|known| known.0 == self.action).map_or("", |known| known.2)
    }

    /// As the forecast takes it.
    ///
    /// # Errors
    /// As [`WashAct::kind`].
    pub fn act(&self, time_h: f64) -> Result<Act, RowFault> {
        Ok(Act { time_h, kind: self.kind()?, value: self.value.unwrap_or(0.0) })
    }
}

impl WashFloat {
    /// Refuses what is no number of a sensor. It sends wild values: they are doubted later.
    ///
    /// # Errors
    /// [`RowFault`] naming column, value, bound and hint.
    pub fn check(&self) -> Result<(), RowFault> {
        optional("gravity", self.gravity, 0.0, 10.0, "", LEAVE_EMPTY)?;
        optional("temperature_c", self.temperature_c, -50.0, 150.0, "°C", LEAVE_EMPTY)
    }

    /// As the forecast takes it.
    #[must_use]
    pub const fn reading(&self, time_h: f64) -> FloatReading {
        FloatReading { time_h, gravity: self.gravity, temperature_c: self.temperature_c }
    }
}
