//! What is looked after, in the log of the house: upkeep of a still, stated and done, and what noses
//! said of the jars of a run. Payloads of version 7.

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use super::act::check_text;
use super::lesson::check_name;
use super::run_id::RunId;
use crate::error::StoreError;
use crate::rows::check_note;

/// Longest time between two rounds of upkeep, days and runs (judgement: a decade is no upkeep).
const DAYS_MAX: u32 = 3_650;
const RUNS_MAX: u32 = 1_000;
/// Most glasses of a round, and jars that words are given to at once.
const GLASSES_MAX: usize = 100;

/// What kind of upkeep it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum UpkeepKind {
    /// Cleaning of still, jars and lines.
    Cleaning,
    /// Gaskets, hoses, relief, elements, fans, extinguishers.
    Maintenance,
    /// A gauge glass, a balance, or an instrument of a channel, held against something true.
    Calibration,
}

impl UpkeepKind {
    /// Every kind.
    pub const ALL: [Self; 3] = [Self::Cleaning, Self::Maintenance, Self::Calibration];

    /// Its word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Cleaning => "cleaning",
            Self::Maintenance => "maintenance",
            Self::Calibration => "calibration",
        }
    }
}

/// Something that is to be done again and again; one of the same name takes its place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Upkeep {
    /// The still it belongs to.
    pub still: String,
    /// What is done; of a calibration, what the instrument is called.
    pub name: String,
    /// What kind of upkeep.
    pub kind: UpkeepKind,
    /// Due again after so many days.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub every_days: Option<u32>,
    /// Due again after so many real runs of the still.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub every_runs: Option<u32>,
}

/// It was done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UpkeepDone {
    /// The still.
    pub still: String,
    /// What was done.
    pub name: String,
    /// When, milliseconds of UTC.
    pub at_ms: i64,
    /// Whether it is as it should be then; what is not stays due.
    pub good: bool,
    /// With what: agent and strength, part, reference.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub with: String,
    /// What was found, as the error of an instrument.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub found: String,
    /// Who did it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
}

/// It is not kept up any more; what stands in the log stays there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UpkeepDropped {
    /// The still.
    pub still: String,
    /// What.
    pub name: String,
}

/// What a nose said of one jar.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NoseWords {
    /// The jar.
    pub jar: u32,
    /// The letter on its glass, in a blind round.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub glass: Option<String>,
    /// What was said; nothing where nothing was.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
}

/// What noses said of the jars of a run: jars by their numbers, or a blind round in its order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Nosed {
    /// The run.
    pub run: RunId,
    /// In the order in which they were smelled.
    pub jars: Vec<NoseWords>,
    /// The number that gave the order of a blind round.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seed: Option<u32>,
    /// Who smelled.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
}

/// One of them, as an entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Tended {
    /// Something is kept up.
    Upkeep(Upkeep),
    /// It was done.
    Done(UpkeepDone),
    /// It is kept up no more.
    Dropped(UpkeepDropped),
    /// Noses spoke.
    Nosed(Nosed),
}

impl Tended {
    /// Their words in the kind column.
    pub(super) const KINDS: [&'static str; 4] =
        ["upkeep", "upkeep_done", "upkeep_dropped", "nosed"];

    pub(super) const fn kind(&self) -> &'static str {
        Self::KINDS[match self {
            Self::Upkeep(_) => 0,
            Self::Done(_) => 1,
            Self::Dropped(_) => 2,
            Self::Nosed(_) => 3,
        }]
    }

    pub(super) fn check(&self) -> Result<(), StoreError> {
        match self {
            Self::Upkeep(upkeep) => upkeep.check(),
            Self::Done(done) => {
                check_name(&done.still)?;
                check_text("name", &done.name)?;
                check_note(&done.with)?;
                check_note(&done.found)?;
                done.by.as_deref().map_or(Ok(()), |by| check_text("by", by))
            }
            Self::Dropped(gone) => {
                check_name(&gone.still)?;
                check_text("name", &gone.name)
            }
            Self::Nosed(nosed) => nosed.check(),
        }
    }

    pub(super) fn payload(&self) -> String {
        let text = match self {
            Self::Upkeep(one) => serde_json::to_string(one),
            Self::Done(one) => serde_json::to_string(one),
            Self::Dropped(one) => serde_json::to_string(one),
            Self::Nosed(one) => serde_json::to_string(one),
        };
        text.expect("structs of numbers and text always have a JSON text")
    }

    pub(super) fn from_payload(kind: &str, text: &str) -> Result<Self, String> {
        Ok(match kind {
            "upkeep" => Self::Upkeep(parse(text)?),
            "upkeep_done" => Self::Done(parse(text)?),
            "upkeep_dropped" => Self::Dropped(parse(text)?),
            _ => Self::Nosed(parse(text)?),
        })
    }
}

fn parse<T: DeserializeOwned>(text: &str) -> Result<T, String> {
    serde_json::from_str(text).map_err(|error| error.to_string())
}

impl Upkeep {
    fn check(&self) -> Result<(), StoreError> {
        check_name(&self.still)?;
        check_text("name", &self.name)?;
        let counts = [
            ("every_days", self.every_days, DAYS_MAX, "must lie from 1 to 3650 days"),
            ("every_runs", self.every_runs, RUNS_MAX, "must lie from 1 to 1000 runs"),
        ];
        for (field, value, most, bound) in counts {
            if value.is_some_and(|value| !(1..=most).contains(&value)) {
                let value = value.unwrap_or_default().to_string();
                return Err(StoreError::Entry { field, value, bound });
            }
        }
        if self.every_days.is_none() && self.every_runs.is_none() {
            let bound = "must be given, or every_runs: when is it due again?";
            return Err(StoreError::Entry { field: "every_days", value: "absent".into(), bound });
        }
        Ok(())
    }
}

impl Nosed {
    fn check(&self) -> Result<(), StoreError> {
        if self.jars.is_empty() || self.jars.len() > GLASSES_MAX {
            let (value, bound) = (self.jars.len().to_string(), "must be 1 to 100 jars or glasses");
            return Err(StoreError::Entry { field: "jars", value, bound });
        }
        for one in &self.jars {
            check_note(&one.words)?;
            one.glass.as_deref().map_or(Ok(()), |glass| check_text("glass", glass))?;
            if one.glass.is_some() != self.jars[0].glass.is_some() {
                let bound = "must be on all glasses of a blind round, or on none";
                return Err(StoreError::Entry { field: "glass", value: "some".into(), bound });
            }
        }
        self.by.as_deref().map_or(Ok(()), |by| check_text("by", by))
    }
}
