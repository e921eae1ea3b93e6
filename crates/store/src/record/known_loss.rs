//! A person's word that a loss is known: payloads of version 5.

use serde::{Deserialize, Serialize};

use super::act::{check_reason, check_text};
use super::run_id::EntryNumber;
use crate::error::StoreError;

/// A loss is known; in the log of the house.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LossAccepted {
    /// The run; `-` where the seal itself was changed.
    pub run: String,
    /// The last entry of it that was acknowledged.
    pub acknowledged: EntryNumber,
    /// Its digest.
    pub digest: String,
    /// Why it came, in words.
    pub reason: String,
    /// Who says so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
}

impl LossAccepted {
    pub(super) fn check(&self) -> Result<(), StoreError> {
        check_reason(&self.reason)?;
        self.by.as_deref().map_or(Ok(()), |by| check_text("by", by))
    }
}
