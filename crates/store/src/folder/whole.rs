//! A whole run as a folder holds it.

use sense::RecordedRun;
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
    /// Where it comes from, as its `record.toml` says.
    pub origin: Option<Origin>,
}

impl RunFolder {
    /// A run of which nobody says where it comes from.
    #[must_use]
    pub const fn new(plan: RunPlan, rows: RecordedRun) -> Self {
        Self { plan, rows, outcome: None, origin: None }
    }
}
