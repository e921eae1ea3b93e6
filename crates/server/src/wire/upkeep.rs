//! Upkeep of a still on the wire, and what noses said of jars.

use serde::{Deserialize, Serialize};
use store::{KnownUpkeep, Nosed, UpkeepDone, UpkeepKind};
use utoipa::{IntoParams, ToSchema};

/// What kind of upkeep it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum UpkeepKindWire {
    /// Still, jars, lines.
    Cleaning,
    /// Gaskets, hoses, relief, elements, extinguisher.
    Maintenance,
    /// An instrument held against something true.
    Calibration,
}

impl From<UpkeepKindWire> for UpkeepKind {
    fn from(kind: UpkeepKindWire) -> Self {
        match kind {
            UpkeepKindWire::Cleaning => Self::Cleaning,
            UpkeepKindWire::Maintenance => Self::Maintenance,
            UpkeepKindWire::Calibration => Self::Calibration,
        }
    }
}

impl From<UpkeepKind> for UpkeepKindWire {
    fn from(kind: UpkeepKind) -> Self {
        match kind {
            UpkeepKind::Cleaning => Self::Cleaning,
            UpkeepKind::Maintenance => Self::Maintenance,
            UpkeepKind::Calibration => Self::Calibration,
        }
    }
}

/// Something to keep up.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct UpkeepAsk {
    /// What is done; of a calibration, what the instrument is called.
    pub(crate) name: String,
    /// What kind it is.
    pub(crate) kind: UpkeepKindWire,
    /// Due again after so many days.
    #[serde(default)]
    pub(crate) every_days: Option<u32>,
    /// Due again after so many real runs.
    #[serde(default)]
    pub(crate) every_runs: Option<u32>,
}

/// It was done.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct UpkeepDoneAsk {
    /// What was done.
    pub(crate) name: String,
    /// When, RFC 3339; absent = now.
    #[serde(default)]
    pub(crate) at: Option<String>,
    /// Whether it is as it should be now.
    pub(crate) good: bool,
    /// With what.
    #[serde(default)]
    pub(crate) with: String,
    /// What was found.
    #[serde(default)]
    pub(crate) found: String,
    /// Who did it.
    #[serde(default)]
    pub(crate) by: Option<String>,
}

/// Which one is meant.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(crate) struct UpkeepName {
    /// What.
    pub(crate) name: String,
}

/// Once that it was done.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct UpkeepDoneWire {
    /// When, ms UTC.
    pub(crate) at_ms: i64,
    /// When it was written down, ms UTC.
    pub(crate) stored_ms: i64,
    /// Whether it was as it should be.
    pub(crate) good: bool,
    /// With what.
    pub(crate) with: String,
    /// What was found.
    pub(crate) found: String,
    /// Who did it.
    pub(crate) by: Option<String>,
}

/// Something that is kept up, and how it stands.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct UpkeepWire {
    /// What is done.
    pub(crate) name: String,
    /// What kind it is.
    pub(crate) kind: UpkeepKindWire,
    /// Due again after so many days.
    pub(crate) every_days: Option<u32>,
    /// Due again after so many real runs.
    pub(crate) every_runs: Option<u32>,
    /// When it was last done well, ms UTC.
    pub(crate) last_ms: Option<i64>,
    /// Real runs that ended since.
    pub(crate) runs_since: u32,
    /// When it is due, ms UTC.
    pub(crate) due_ms: Option<i64>,
    /// Whether that is past.
    pub(crate) overdue: bool,
    /// How it stands, in words.
    pub(crate) words: String,
    /// Its log, the newest first.
    pub(crate) done: Vec<UpkeepDoneWire>,
}

impl UpkeepWire {
    pub(crate) fn new(known: &KnownUpkeep, now_ms: i64) -> Self {
        let done = |(_, stored_ms, done): &(i64, i64, UpkeepDone)| UpkeepDoneWire {
            at_ms: done.at_ms,
            stored_ms: *stored_ms,
            good: done.good,
            with: done.with.clone(),
            found: done.found.clone(),
            by: done.by.clone(),
        };
        Self {
            name: known.upkeep.name.clone(),
            kind: known.upkeep.kind.into(),
            every_days: known.upkeep.every_days,
            every_runs: known.upkeep.every_runs,
            last_ms: known.last_ms,
            runs_since: known.runs_since,
            due_ms: known.due_ms,
            overdue: known.overdue(now_ms),
            words: known.words(now_ms),
            done: known.done.iter().rev().map(done).collect(),
        }
    }
}

/// What a nose said of one jar.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct NoseWordsWire {
    /// The jar.
    pub(crate) jar: u32,
    /// The letter on its glass, in a blind round.
    #[serde(default)]
    pub(crate) glass: Option<String>,
    /// What was said.
    #[serde(default)]
    pub(crate) words: String,
}

/// What noses say of the jars of a run.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct NosedAsk {
    /// In the order in which they were smelled.
    pub(crate) jars: Vec<NoseWordsWire>,
    /// The number that gave the order of a blind round.
    #[serde(default)]
    pub(crate) seed: Option<u32>,
    /// Who smelled.
    #[serde(default)]
    pub(crate) by: Option<String>,
}

/// What noses said, once.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct NosedWire {
    /// When it was written down, ms UTC.
    pub(crate) stored_ms: i64,
    /// In the order in which they were smelled.
    pub(crate) jars: Vec<NoseWordsWire>,
    /// The number that gave the order of a blind round.
    pub(crate) seed: Option<u32>,
    /// Who smelled.
    pub(crate) by: Option<String>,
}

impl From<(i64, Nosed)> for NosedWire {
    fn from((stored_ms, nosed): (i64, Nosed)) -> Self {
        let one = |one: store::NoseWords| NoseWordsWire {
            jar: one.jar,
            glass: one.glass,
            words: one.words,
        };
        let jars = nosed.jars.into_iter().map(one).collect();
        Self { stored_ms, jars, seed: nosed.seed, by: nosed.by }
    }
}
