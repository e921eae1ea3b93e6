//! How the record stands, as it leaves the program.

use serde::{Deserialize, Serialize};
use store::{Loss, RecordHead};
use utoipa::ToSchema;

/// How the record stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum StandsWire {
    /// Everything acknowledged is there.
    Whole,
    /// Entries that were acknowledged are gone, and nobody has said that this is known.
    Lost,
    /// It was changed by another program.
    Changed,
    /// Nothing is recorded now.
    Unrecorded,
}

/// How the person's own record stands.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct RecordWire {
    /// In one word.
    pub(crate) stands: StandsWire,
    /// What is the matter; none where it is whole.
    pub(crate) words: Option<String>,
    /// What to do about it.
    pub(crate) hint: Option<String>,
    /// Everything that was ever found lost.
    pub(crate) losses: Vec<LossWire>,
    /// Files kept beside the record: what was damaged or replaced.
    pub(crate) kept: Vec<String>,
    /// How much it holds, and the digest over it: print it, and `middlecut verify --expect DIGEST`
    /// finds years later whether anything before was changed.
    pub(crate) head: HeadWire,
    /// Why the last nightly backup failed, where it did.
    pub(crate) backup: Option<String>,
    /// Why rehearsals of the example house are not recorded, where they are not.
    pub(crate) example: Option<String>,
}

/// How much the record holds.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct HeadWire {
    /// Entries.
    pub(crate) entries: i64,
    /// Digest over all of them, 64 hexadecimal digits.
    pub(crate) digest: String,
}

impl From<RecordHead> for HeadWire {
    fn from(head: RecordHead) -> Self {
        Self { entries: head.entries, digest: head.digest }
    }
}

/// Entries that were acknowledged and are gone.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct LossWire {
    /// The run; none where the seal itself was changed.
    pub(crate) run: Option<String>,
    /// The first entry that is gone.
    pub(crate) first_lost: i64,
    /// The last one that was acknowledged.
    pub(crate) acknowledged: i64,
    /// In words.
    pub(crate) words: String,
    /// Why it came, where somebody said that it is known.
    pub(crate) reason: Option<String>,
    /// Who said so.
    pub(crate) by: Option<String>,
    /// When, ms UTC.
    pub(crate) accepted_ms: Option<i64>,
}

impl From<&Loss> for LossWire {
    fn from(loss: &Loss) -> Self {
        let accepted = loss.accepted.as_ref();
        Self {
            run: loss.run.as_ref().map(ToString::to_string),
            first_lost: loss.first_lost,
            acknowledged: loss.acknowledged,
            words: loss.to_string(),
            reason: accepted.map(|said| said.0.clone()),
            by: accepted.and_then(|said| said.1.clone()),
            accepted_ms: accepted.map(|said| said.2),
        }
    }
}

/// That every loss found so far is known.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct LossAsk {
    /// Why it came, in words.
    #[schema(min_length = 1)]
    pub(crate) reason: String,
    /// Who says so.
    #[serde(default)]
    pub(crate) by: Option<String>,
}
