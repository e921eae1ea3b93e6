//! What the record keeps beside rows: steps begun as one act, corrections, keys of requests, the
//! check list, and what people call things. Payloads of version 2.

use serde::{Deserialize, Serialize};
use still::plan::RunPlan;

use super::lesson::check_name;
use super::run_id::RunId;
use crate::error::StoreError;
use crate::rows::{check_note, required};

/// Most characters of a request's key.
pub const KEY_CHARACTERS_MAX: usize = 64;
/// Most lines of a check list that are kept.
const TICKED_MAX: usize = 100;
/// Most characters of a name.
const NAME_CHARACTERS_MAX: usize = 200;

/// A step was begun: the entries after this one, so many, are that one act.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BegunStep {
    /// Position of the step in the plan.
    pub step: usize,
    /// Position of the step before it.
    pub after: usize,
    /// How many entries after this one belong to it.
    pub entries: u32,
}

/// The request that brought the entries after this one: sent again it changes nothing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RequestKey {
    /// What the sender calls it.
    pub key: String,
    /// How many entries after this one it brought.
    pub entries: u32,
    /// Which of them was answered, counted from 1.
    pub answer: u32,
    /// How many rows of readings it brought.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rows: Option<u32>,
    /// What was asked, as a digest: under the same key nothing else is taken. None before version 8.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub asked: Option<String>,
}

/// The check list was gone through.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CheckList {
    /// The lines that were ticked, in words.
    pub ticked: Vec<String>,
    /// Who signed it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
}

/// Whether a run counts for what is learned; in the log of the house, the last one holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LearningChoice {
    /// The run.
    pub run: RunId,
    /// Whether it counts.
    pub counts: bool,
}

/// A plan kept under a name; in the log of the house, the last one of a name holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptPlan {
    /// What it is called.
    pub name: String,
    /// The plan.
    pub plan: RunPlan,
}

/// Refuses a text that is empty, too long or of more than one line: a run folder could not hold it.
pub(super) fn check_text(field: &'static str, text: &str) -> Result<(), StoreError> {
    let length = text.chars().count();
    if (1..=NAME_CHARACTERS_MAX).contains(&length)
        && !text.contains(char::is_control)
        && !text.trim().is_empty()
    {
        return Ok(());
    }
    let bound = "must be a text of 1 to 200 characters without line breaks";
    Err(StoreError::Entry { field, value: crate::rows::shown(text), bound })
}

impl RequestKey {
    pub(super) fn check(&self) -> Result<(), StoreError> {
        let length = self.key.chars().count();
        if (1..=KEY_CHARACTERS_MAX).contains(&length) && !self.key.contains('\0') {
            return Ok(());
        }
        let bound = "must be a text of 1 to 64 characters";
        Err(StoreError::Entry { field: "key", value: crate::rows::shown(&self.key), bound })
    }
}

impl CheckList {
    pub(super) fn check(&self) -> Result<(), StoreError> {
        if self.ticked.is_empty() || self.ticked.len() > TICKED_MAX {
            let value = format!("{} lines", self.ticked.len());
            return Err(StoreError::Entry {
                field: "ticked",
                value,
                bound: "must be 1 to 100 lines",
            });
        }
        self.ticked.iter().try_for_each(|line| check_text("ticked", line))?;
        self.by.as_deref().map_or(Ok(()), |by| check_text("by", by))
    }
}

impl KeptPlan {
    pub(super) fn check(&self) -> Result<(), StoreError> {
        check_name(&self.name)?;
        Ok(self.plan.check()?)
    }
}

/// Refuses a jar size that no jar has.
pub(super) fn check_jar_size(ml: f64) -> Result<(), StoreError> {
    Ok(required("jar_size_ml", ml, 1.0, 100_000.0, "mL", "what one jar holds")?)
}

/// Refuses a reason that says nothing.
pub(super) fn check_reason(reason: &str) -> Result<(), StoreError> {
    if reason.trim().is_empty() {
        let bound = "must say why";
        return Err(StoreError::Entry { field: "reason", value: "empty".into(), bound });
    }
    Ok(check_note(reason)?)
}

/// Refuses a name that is none, and one that stands before nothing.
pub(super) fn check_by(by: &str, entries: u32) -> Result<(), StoreError> {
    check_text("by", by)?;
    if entries > 0 {
        return Ok(());
    }
    let bound = "must be 1 at least";
    Err(StoreError::Entry { field: "entries", value: entries.to_string(), bound })
}
