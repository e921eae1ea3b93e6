//! All runs that are going on, on the wire: one line for each, and who needs a person next.

use serde::Serialize;
use utoipa::ToSchema;

use super::event::EventWire;
use super::knowledge::{EndWire, StateWire};
use super::run::RunKindWire;

/// All runs that are going on.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct AttendingWire {
    /// The server's clock, ms UTC.
    pub(crate) now_ms: i64,
    /// The run that needs a person next; none where none does, or none is going on.
    pub(crate) next: Option<String>,
    /// The runs, the one that needs a person soonest first.
    pub(crate) runs: Vec<AttendedWire>,
}

/// Why a person is needed, the most pressing first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum NeedWire {
    /// The program cannot tell how the run stands: look yourself.
    Unknown,
    /// An alarm stands.
    Alarm,
    /// Something is due.
    Due,
    /// Something comes.
    Comes,
    /// Nothing is known that would need one.
    Nothing,
}

/// A run that is going on.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct AttendedWire {
    /// Id of the run.
    pub(crate) id: String,
    /// What the person calls it.
    pub(crate) title: String,
    /// Name of its still.
    pub(crate) still: String,
    /// Real or rehearsed.
    pub(crate) mode: RunKindWire,
    /// Whether of the example house.
    pub(crate) example: bool,
    /// Rehearsal: run seconds per second.
    pub(crate) speed: Option<f64>,
    /// Why a person is needed next.
    pub(crate) need: NeedWire,
    /// In words.
    pub(crate) words: String,
    /// In how many seconds by the clock on the wall, where that is known; 0 = now.
    pub(crate) in_s: Option<f64>,
    /// How it stands; none where the program cannot tell.
    pub(crate) now: Option<StandingWire>,
}

/// How a run stands.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct StandingWire {
    /// Run time, s.
    pub(crate) time_s: f64,
    /// Run time 0, ms UTC.
    pub(crate) started_ms: i64,
    /// State of the run.
    pub(crate) state: StateWire,
    /// First words of the sentence.
    pub(crate) headline: String,
    /// The running step, in a word.
    pub(crate) step: String,
    /// What is to come, in order of time.
    pub(crate) ends: Vec<EndWire>,
    /// Alarms that stand, most urgent first.
    pub(crate) alarms: Vec<EventWire>,
    /// Codes of standing alarms a person has seen.
    pub(crate) seen: Vec<String>,
    /// Prompts that are due and not done, most urgent first.
    pub(crate) prompts: Vec<EventWire>,
    /// Seconds until the attendant counts as absent.
    pub(crate) attendant_left_s: f64,
}
