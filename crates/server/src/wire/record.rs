//! What a person or a feeder records in a run: readings, actions, jars; what is answered.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::plan::StepKindWire;
use super::reading::ReadingRowWire;

/// Rows of readings.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ReadingsAsk {
    /// The rows, times not running backwards.
    pub(crate) rows: Vec<ReadingRowWire>,
}

/// One action, in the words of `actions.csv`.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ActionAsk {
    /// `heater`, `takeoff`, `coolant`, `jar`, `step`, `gauge`, `here`, `seen`, `reset`, `quiet`
    /// or `note`.
    pub(crate) action: String,
    /// Its number, where it has one.
    #[serde(default)]
    pub(crate) value: Option<f64>,
    /// The number's unit.
    #[serde(default)]
    pub(crate) unit: Option<String>,
    /// Words: a step's name, an alarm's code, a remark.
    #[serde(default)]
    pub(crate) note: Option<String>,
    /// Run time, s; absent = now.
    #[serde(default)]
    pub(crate) time_s: Option<f64>,
    /// How long ago it happened, s, instead of `time_s`.
    #[serde(default)]
    pub(crate) ago_s: Option<f64>,
}

/// A jar that was filled.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct JarAsk {
    /// Its number.
    pub(crate) jar: u32,
    /// Opened, s.
    pub(crate) start_s: f64,
    /// Closed, s.
    pub(crate) end_s: f64,
    /// Volume, mL.
    pub(crate) volume_ml: f64,
    /// Temperature when gauged, °C.
    #[serde(default)]
    pub(crate) temperature_c: Option<f64>,
    /// What the glass read at that temperature, % vol.
    #[serde(default)]
    pub(crate) apparent_vol: Option<f64>,
    /// Fraction.
    #[serde(default)]
    pub(crate) cut: Option<StepKindWire>,
    /// Words on its label.
    #[serde(default)]
    pub(crate) note: String,
}

/// Which entry to withdraw.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct UndoAsk {
    /// The entry's number.
    pub(crate) entry: u64,
}

/// How fast a rehearsal should go.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct SpeedWire {
    /// Run seconds per second; 0 pauses.
    pub(crate) speed: f64,
}

/// Stored, under this number.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub(crate) struct EntryWire {
    /// Number of the entry in the run's log.
    pub(crate) entry: u64,
}

/// Rows stored.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub(crate) struct AcceptedWire {
    /// How many rows.
    pub(crate) accepted: usize,
    /// Number of the entry that holds them.
    pub(crate) entry: u64,
}

/// One recorded action, in the words of `actions.csv`.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct ActionRowWire {
    /// Run time, s.
    pub(crate) time_s: f64,
    /// Word.
    pub(crate) action: String,
    /// Number.
    pub(crate) value: Option<f64>,
    /// Unit.
    pub(crate) unit: String,
    /// Words.
    pub(crate) note: String,
    /// Number of the entry that holds it.
    pub(crate) entry: u64,
}
