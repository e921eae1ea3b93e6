//! Units as they were entered: what a person typed, and what the sources of a run count in. Payloads of
//! version 7.
//!
//! What is reckoned with stands in the entry itself; here stands what it was made of.

use quantities::TypedValue;
use sense::{Probe, Sensor};
use serde::{Deserialize, Serialize};

use super::act::check_text;
use crate::error::StoreError;
use crate::rows::check_time;

/// Most numbers of one entry, and most values of sources.
const VALUES_MAX: usize = 1000;

/// What the numbers of the record were made of.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum EnteredUnits {
    /// Numbers of an entry shortly before this one, as a person typed them.
    Typed(TypedUnits),
    /// What the sources of the run's readings count in, from here on.
    Fed(FedUnits),
}

/// Numbers as they were typed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TypedUnits {
    /// How many entries before this one the entry stands.
    pub entries: u32,
    /// The numbers.
    pub values: Vec<TypedValue>,
}

/// What sources count in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FedUnits {
    /// Run time, s.
    pub time_s: f64,
    /// Each value that is not taken as it comes: recorded = (sent in the channel's unit) × scale + offset.
    pub values: Vec<FedUnit>,
}

/// One value of a source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FedUnit {
    /// The source.
    pub source: String,
    /// Column of the readings.
    pub channel: String,
    /// What it counts in.
    pub unit: String,
    /// Its scale.
    pub scale: f64,
    /// Its offset, in the unit of the channel.
    pub offset: f64,
}

impl EnteredUnits {
    /// What follows an entry whose numbers were typed in other units; nothing where none was.
    #[must_use]
    pub fn after(values: Vec<TypedValue>) -> Option<Self> {
        if values.is_empty() {
            return None;
        }
        Some(Self::Typed(TypedUnits { entries: 1, values }))
    }

    pub(super) fn check(&self) -> Result<(), StoreError> {
        let count = match self {
            Self::Typed(typed) => {
                for one in &typed.values {
                    check_text("field", &one.field)?;
                    check_text("unit", &one.unit)?;
                    finite("value", one.value)?;
                }
                typed.values.len()
            }
            Self::Fed(fed) => {
                check_time("time_s", fed.time_s)?;
                check_fed(&fed.values, &Probe::ALL.map(Sensor::from))?;
                fed.values.len()
            }
        };
        few(count)
    }
}

/// Refuses what no sources of those probes count in.
pub(super) fn check_fed(values: &[FedUnit], sensors: &[Sensor]) -> Result<(), StoreError> {
    for one in values {
        check_text("source", &one.source)?;
        check_text("unit", &one.unit)?;
        finite("scale", one.scale)?;
        finite("offset", one.offset)?;
        if !sensors.iter().any(|sensor| sensor.column() == one.channel) {
            let bound = "must be a column of the readings";
            let value = crate::rows::shown(&one.channel);
            return Err(StoreError::Entry { field: "channel", value, bound });
        }
    }
    few(values.len())
}

fn few(count: usize) -> Result<(), StoreError> {
    if count <= VALUES_MAX {
        return Ok(());
    }
    let bound = "must be 1000 at most";
    Err(StoreError::Entry { field: "values", value: count.to_string(), bound })
}

fn finite(field: &'static str, value: f64) -> Result<(), StoreError> {
    if value.is_finite() {
        return Ok(());
    }
    Err(StoreError::Entry { field, value: value.to_string(), bound: "must be a finite number" })
}
