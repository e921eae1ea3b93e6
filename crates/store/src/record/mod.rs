//! The log in SQLite: open it, add to it, read it back, prove that it is whole.

mod act;
mod append;
mod beliefs;
mod belong;
mod calibrated;
mod calibrating;
mod chain;
mod entry;
mod event;
mod failure;
mod fold;
#[cfg(test)]
mod full_disk;
mod lesson;
mod migrate;
mod new_run;
mod open;
mod payload;
mod plans;
mod project;
mod read;
mod run_id;
mod seal;
mod steady;
mod stills;
mod transfer;
mod verify;

pub use act::{BegunStep, CheckList, KEY_CHARACTERS_MAX, KeptPlan, LearningChoice, RequestKey};
pub use calibrated::{
    CALIBRATED_KEYS, CalibratedFrom, CalibratedValue, CalibrationDropped, FurtherRun, LeftOut,
    NotApart, StillCalibration, take_over,
};
pub use entry::{Entry, Logged, OwnStillRecord, StoredEnd};
pub use event::{StoredEvent, StoredKind, StoredPriority};
pub use failure::VerifyFailure;
pub use lesson::{LessonSource, StillLesson, StillReset, StoredBalance};
pub use new_run::{NewRun, RunMode};
pub use open::Store;
pub use payload::{ENTRY_BYTES_MAX, PAYLOAD_VERSION};
pub use project::{BegunGroup, ClockAnchor, RunState, RunStatus, RunSummary};
pub use run_id::{EntryNumber, RunId};
pub use steady::{BootId, SteadyMark};
pub use stills::{CalibratedNote, ResetNote, StillState, Taught};
pub use verify::VerifyReport;
