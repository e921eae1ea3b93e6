//! A whole run as a folder holds it.

use sense::{Instruments, RecordedRun};
use still::plan::RunPlan;

use super::origin::Origin;

/// A whole run as a folder holds it.
#[derive(Debug, Clone, PartialEq)]
pub struct RunFolder {
    /// What was known before heat.
    pub plan: RunPlan,
    /// What was read, done and collected.
    pub rows: RecordedRun,
    /// The truth of a simulated recording, passed through as it is.
    pub outcome: Option<serde_json::Value>,
    /// What the readings were taken with, where the record knows it; they are put right already.
    pub instruments: Instruments,
    /// Where it comes from, as its `record.toml` says.
    pub origin: Option<Origin>,
}

impl RunFolder {
    /// A run of which nobody says where it comes from. The plan's format becomes that which its
    /// readings need: a program that knows the old columns only refuses it by its format.
    #[must_use]
    pub fn new(mut plan: RunPlan, rows: RecordedRun) -> Self {
        let needed = rows.readings.iter().map(|(_, reading)| reading.format()).max();
        plan.format = plan.format.max(needed.unwrap_or(1));
        Self { plan, rows, outcome: None, instruments: Instruments::default(), origin: None }
    }
}
