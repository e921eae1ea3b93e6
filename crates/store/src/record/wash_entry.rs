//! What the log of a wash holds: its recipe, what was read and done, what does not hold any more, its
//! end. Payloads of version 7.

use ferment::Recipe;
use sense::{Sensor, WashProbe};
use serde::{Deserialize, Serialize};

use super::act::{KEY_CHARACTERS_MAX, check_reason, check_text};
use super::run_id::EntryNumber;
use super::units::{FedUnit, check_fed};
use crate::error::StoreError;
use crate::rows::{RowFault, WashAct, WashFloat, WashReading, check_note, required};

/// Most rows of a floating sensor in one entry.
pub(super) const FLOAT_ROWS_MAX: usize = 1000;

/// Who wrote an entry, and with which request.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct WashBy {
    /// A person's name, or what they come in as.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// The request: sent again it changes nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub key: Option<String>,
}

/// The recipe of a wash: as it was opened, or as it is from here on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WashRecipe {
    /// The recipe; its start is the moment the yeast was pitched.
    pub recipe: Recipe,
    /// Why it was changed.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reason: String,
    /// Who, by which request.
    #[serde(flatten)]
    pub by: WashBy,
}

/// Something was read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WashRead {
    /// When, milliseconds of UTC.
    pub at_ms: i64,
    /// What.
    pub row: WashReading,
    /// The entry in whose place this one stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corrects: Option<EntryNumber>,
    /// What the probes that it came from count in, where it is not what is recorded.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub units: Vec<FedUnit>,
    /// Who, by which request.
    #[serde(flatten)]
    pub by: WashBy,
}

/// Something was done.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WashDone {
    /// When, milliseconds of UTC.
    pub at_ms: i64,
    /// What.
    pub row: WashAct,
    /// The entry in whose place this one stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corrects: Option<EntryNumber>,
    /// Who, by which request.
    #[serde(flatten)]
    pub by: WashBy,
}

/// What a floating sensor sent, with the moments.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WashFloated {
    /// Moments, milliseconds of UTC, and what was sent then.
    pub rows: Vec<(i64, WashFloat)>,
    /// What the probes that they came from count in, where it is not what is recorded.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub units: Vec<FedUnit>,
    /// Who, by which request.
    #[serde(flatten)]
    pub by: WashBy,
}

/// An entry does not hold.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct WashWithdrawn {
    /// Which.
    pub entry: EntryNumber,
    /// Why.
    pub reason: String,
    /// Who, by which request.
    #[serde(flatten)]
    pub by: WashBy,
}

/// What a wash went into the still as.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WashCharge {
    /// Litres at 20 °C.
    pub litres: f64,
    /// Standard deviation of the litres.
    pub litres_sd: f64,
    /// Strength, % vol at 20 °C.
    pub strength_vol: f64,
    /// Its standard deviation, % vol.
    pub strength_sd: f64,
    /// Its lot in the account of pure alcohol.
    pub lot: String,
}

/// A wash is over: it is a charge now, or was poured away.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WashEnd {
    /// When, milliseconds of UTC.
    pub at_ms: i64,
    /// What it became; none where it was poured away.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub charge: Option<WashCharge>,
    /// Why it was poured away.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reason: String,
    /// Who, by which request.
    #[serde(flatten)]
    pub by: WashBy,
}

/// One entry of the log of a wash.
#[derive(Debug, Clone, PartialEq)]
pub enum WashEntry {
    /// The wash is opened; always its first entry.
    Opened(WashRecipe),
    /// Its recipe is another one from here on, back to the pitching.
    Recipe(WashRecipe),
    /// Something was read.
    Read(WashRead),
    /// Something was done.
    Done(WashDone),
    /// What a floating sensor sent.
    Floated(WashFloated),
    /// An earlier entry does not hold.
    Withdrawn(WashWithdrawn),
    /// It is over.
    Ended(WashEnd),
}

/// Refuses a recipe that cannot be, and one without the moment of pitching.
fn check_recipe(recipe: &Recipe) -> Result<(), StoreError> {
    recipe.check().map_err(Box::new)?;
    if recipe.title.is_empty() {
        let bound = "must say what the wash is called";
        return Err(StoreError::Entry { field: "title", value: "empty".into(), bound });
    }
    check_text("title", &recipe.title)?;
    pitched(recipe).map(drop)
}

/// When the yeast was pitched, milliseconds of UTC, and the zone, minutes east.
pub(super) fn pitched(recipe: &Recipe) -> Result<(i64, i32), StoreError> {
    crate::time::parse_start(&recipe.start).ok_or_else(|| StoreError::Entry {
        field: "start",
        value: crate::rows::shown(&recipe.start),
        bound: "must be the moment the yeast was pitched with its zone, as 2026-10-03T14:20:00+02:00",
    })
}

impl WashBy {
    fn check(&self) -> Result<(), StoreError> {
        self.by.as_deref().map_or(Ok(()), |by| check_text("by", by))?;
        let Some(key) = &self.key else { return Ok(()) };
        if (1..=KEY_CHARACTERS_MAX).contains(&key.chars().count()) && !key.contains('\0') {
            return Ok(());
        }
        let bound = "must be a text of 1 to 64 characters";
        Err(StoreError::Entry { field: "key", value: crate::rows::shown(key), bound })
    }
}

impl WashEnd {
    fn check(&self) -> Result<(), StoreError> {
        let Some(charge) = &self.charge else { return check_reason(&self.reason) };
        let hint = "of the whole wash, at 20 °C";
        required("litres", charge.litres, 0.1, 10_000.0, "L", hint)?;
        required("litres_sd", charge.litres_sd, 0.0, 5_000.0, "L", "its standard deviation")?;
        required("strength_vol", charge.strength_vol, 0.1, 30.0, "% vol", hint)?;
        let hint = "its standard deviation";
        required("strength_sd", charge.strength_sd, 0.0, 15.0, "% vol", hint)?;
        account::Name::new(&charge.lot).map(drop)?;
        Ok(check_note(&self.reason)?)
    }
}

impl WashEntry {
    /// The word of the kind column.
    pub(super) const fn kind(&self) -> &'static str {
        match self {
            Self::Opened(_) => "wash_opened",
            Self::Recipe(_) => "wash_recipe",
            Self::Read(_) => "wash_read",
            Self::Done(_) => "wash_done",
            Self::Floated(_) => "wash_floated",
            Self::Withdrawn(_) => "wash_withdrawn",
            Self::Ended(_) => "wash_ended",
        }
    }

    /// Who wrote it, by which request.
    #[must_use]
    pub const fn by(&self) -> &WashBy {
        match self {
            Self::Opened(one) | Self::Recipe(one) => &one.by,
            Self::Read(one) => &one.by,
            Self::Done(one) => &one.by,
            Self::Withdrawn(one) => &one.by,
            Self::Ended(one) => &one.by,
            Self::Floated(one) => &one.by,
        }
    }

    /// When what it tells of happened; none where that is when it was written.
    #[must_use]
    pub fn at_ms(&self) -> Option<i64> {
        match self {
            Self::Read(one) => Some(one.at_ms),
            Self::Done(one) => Some(one.at_ms),
            Self::Ended(one) => Some(one.at_ms),
            Self::Floated(one) => one.rows.last().map(|row| row.0),
            Self::Opened(_) | Self::Recipe(_) | Self::Withdrawn(_) => None,
        }
    }

    /// Refuses what a wash folder could not hold.
    pub(super) fn check(&self) -> Result<(), StoreError> {
        self.by().check()?;
        match self {
            Self::Opened(one) => check_recipe(&one.recipe),
            Self::Recipe(one) => {
                check_reason(&one.reason)?;
                check_recipe(&one.recipe)
            }
            Self::Read(one) if one.row.is_empty() => Err(RowFault::new(
                "gravity",
                "",
                "must not be empty where nothing else was read",
                "enter a gravity, a temperature, a pH, a weight or a note",
            )
            .into()),
            Self::Read(one) => {
                check_fed(&one.units, &WashProbe::ALL.map(Sensor::from))?;
                Ok(one.row.check()?)
            }
            Self::Done(one) => Ok(one.row.kind().map(drop)?),
            Self::Floated(one) if one.rows.is_empty() || one.rows.len() > FLOAT_ROWS_MAX => {
                let (value, bound) = (one.rows.len().to_string(), "must be 1 to 1000 rows");
                Err(StoreError::Entry { field: "rows", value, bound })
            }
            Self::Floated(one) => {
                check_fed(&one.units, &WashProbe::ALL.map(Sensor::from))?;
                Ok(one.rows.iter().try_for_each(|row| row.1.check())?)
            }
            Self::Withdrawn(one) => check_reason(&one.reason),
            Self::Ended(one) => one.check(),
        }
    }

    /// The stored text.
    pub(super) fn payload(&self) -> String {
        let text = match self {
            Self::Opened(one) | Self::Recipe(one) => serde_json::to_string(one),
            Self::Read(one) => serde_json::to_string(one),
            Self::Done(one) => serde_json::to_string(one),
            Self::Floated(one) => serde_json::to_string(one),
            Self::Withdrawn(one) => serde_json::to_string(one),
            Self::Ended(one) => serde_json::to_string(one),
        };
        text.expect("structs of numbers and text always have a JSON text")
    }

    /// The entry of a stored text; none of another kind.
    pub(super) fn from_payload(kind: &str, text: &str) -> Result<Self, String> {
        let read = match kind {
            "wash_opened" => serde_json::from_str(text).map(Self::Opened),
            "wash_recipe" => serde_json::from_str(text).map(Self::Recipe),
            "wash_read" => serde_json::from_str(text).map(Self::Read),
            "wash_done" => serde_json::from_str(text).map(Self::Done),
            "wash_floated" => serde_json::from_str(text).map(Self::Floated),
            "wash_withdrawn" => serde_json::from_str(text).map(Self::Withdrawn),
            "wash_ended" => serde_json::from_str(text).map(Self::Ended),
            _ => return Err("unknown kind of entry".to_owned()),
        };
        read.map_err(|error| error.to_string())
    }
}
