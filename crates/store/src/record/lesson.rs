//! What the record keeps of a run that is over: where its alcohol went, and what it taught about
//! the still.

use estimate::{AlcoholBalance, Belief, Character};
use serde::{Deserialize, Serialize};

use super::run_id::{EntryNumber, RunId};
use crate::error::StoreError;
use crate::rows::check_note;

/// Most characters of the name of a still.
const NAME_CHARACTERS_MAX: usize = 200;

/// Where a lesson comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LessonSource {
    /// A real run, attended with this program.
    Real,
    /// A run read from a folder into the record.
    Imported,
    /// A run folder that is not in the record.
    Folder,
    /// A rehearsal: it teaches about the simulated still of that name, never about the real one.
    Rehearsal,
}

impl LessonSource {
    /// Whether the still it is about is a simulated one.
    #[must_use]
    pub const fn is_rehearsed(self) -> bool {
        matches!(self, Self::Rehearsal)
    }
}

/// What a run taught about a still.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StillLesson {
    /// Name of the still, as the plan has it.
    pub still: String,
    /// Where the lesson comes from.
    pub source: LessonSource,
    /// The run of this record; none for a folder.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub run: Option<RunId>,
    /// Last entry of that run that was looked at; 0 for a folder.
    pub upto: EntryNumber,
    /// What is believed of the still with this run.
    pub character: Character,
    /// Where the alcohol of this run went.
    pub balance: AlcoholBalance,
}

/// A still was changed: what was learned before does not count any more.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StillReset {
    /// Name of the still.
    pub still: String,
    /// Whether it is the simulated still of that name.
    pub rehearsed: bool,
    /// What was changed, in words.
    pub reason: String,
}

/// Where the alcohol of a run went, as the record keeps it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StoredBalance {
    /// Last entry of the run that was looked at.
    pub upto: EntryNumber,
    /// The balance.
    pub balance: AlcoholBalance,
}

/// Refuses what no plan could call its still.
pub(super) fn check_name(name: &str) -> Result<(), StoreError> {
    let length = name.chars().count();
    if (1..=NAME_CHARACTERS_MAX).contains(&length) && !name.contains('\0') {
        return Ok(());
    }
    let bound = "must be a text of 1 to 200 characters";
    Err(StoreError::Entry { field: "still", value: crate::rows::shown(name), bound })
}

impl StillLesson {
    pub(super) fn check(&self) -> Result<(), StoreError> {
        check_name(&self.still)?;
        if (self.run.is_none()) != (self.source == LessonSource::Folder) || self.upto < 0 {
            let value = self.run.as_ref().map_or("none", RunId::as_str).to_owned();
            let bound = "must be given for every lesson but that of a folder";
            return Err(StoreError::Entry { field: "run", value, bound });
        }
        check_character(&self.character)?;
        check_balance(&self.balance)
    }
}

impl StillReset {
    pub(super) fn check(&self) -> Result<(), StoreError> {
        check_name(&self.still)?;
        if self.reason.trim().is_empty() {
            let bound = "must say what was changed";
            return Err(StoreError::Entry { field: "reason", value: "empty".into(), bound });
        }
        Ok(check_note(&self.reason)?)
    }
}

impl StoredBalance {
    pub(super) fn check(&self) -> Result<(), StoreError> {
        check_balance(&self.balance)
    }
}

fn finite(field: &'static str, value: f64) -> Result<(), StoreError> {
    if value.is_finite() {
        return Ok(());
    }
    let bound = "must be a finite number";
    Err(StoreError::Entry { field, value: value.to_string(), bound })
}

/// Refuses numbers that a JSON text cannot hold, and spreads that are none.
pub(super) fn check_character(character: &Character) -> Result<(), StoreError> {
    let history = character.history.iter().flat_map(|one| one.run.iter().chain(&one.after));
    for Belief { mean, sd, .. } in character.beliefs.iter().chain(history) {
        finite("mean", *mean)?;
        finite("sd", *sd)?;
        if *sd < 0.0 {
            let bound = "must not be negative";
            return Err(StoreError::Entry { field: "sd", value: sd.to_string(), bound });
        }
    }
    Ok(())
}

fn check_balance(balance: &AlcoholBalance) -> Result<(), StoreError> {
    finite("charged_l", balance.charged_l)?;
    finite("collected_l", balance.collected_l)?;
    finite("left_l", balance.left_l)?;
    finite("missing_l", balance.missing_l)?;
    finite("missing_sd_l", balance.missing_sd_l)?;
    if let Some(account) = &balance.account {
        finite("not_gauged_l", account.not_gauged_l)?;
        finite("vapour_lost_l", account.vapour_lost_l)?;
        for part in &account.parts {
            finite("alcohol_l", part.alcohol_l)?;
            finite("sd_l", part.sd_l)?;
        }
    }
    balance.causes.iter().try_for_each(|cause| finite("odds", cause.odds))
}
