//! A run to be opened, and where it comes from.

use estimate::Character;
use serde::{Deserialize, Serialize};
use still::plan::RunPlan;

use crate::folder::Origin;

/// Where a run comes from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "mode")]
pub enum RunMode {
    /// A real still, attended now.
    Real,
    /// A simulated still.
    Rehearsal {
        /// Run seconds per second at the start; 0 = halted.
        speed: f64,
        /// Seed of the probes' noise.
        seed: u64,
        /// Whether a stand-in attends.
        attendant: bool,
        /// Whether a scale stands under the jar.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        scale: bool,
    },
    /// Read from a run folder.
    Imported,
}

/// A run to be opened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NewRun {
    /// What is known before heat.
    pub plan: RunPlan,
    /// Where it comes from.
    #[serde(flatten)]
    pub mode: RunMode,
    /// Whether it belongs to the example house and stays out of the user's own log.
    pub example: bool,
    /// What was believed of the still when the run was opened: a replay takes the same.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub character: Option<Character>,
    /// Where a run that was read from a folder comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub origin: Option<Origin>,
}

impl NewRun {
    /// A run of which nothing is known but its plan.
    #[must_use]
    pub const fn new(plan: RunPlan, mode: RunMode, example: bool) -> Self {
        Self { plan, mode, example, character: None, origin: None }
    }
}
