//! The log in SQLite: open it, add to it, read it back, prove that it is whole.

mod act;
mod append;
mod beliefs;
mod belong;
mod chain;
mod entry;
mod event;
mod fold;
#[cfg(test)]
mod full_disk;
mod lesson;
mod migrate;
mod open;
mod payload;
mod plans;
mod project;
mod read;
mod seal;
mod stills;
mod transfer;
mod verify;

pub use act::{BegunStep, CheckList, KEY_CHARACTERS_MAX, KeptPlan, LearningChoice, RequestKey};
pub use append::NewRun;
pub use entry::{Entry, EntryNumber, Logged, OwnStillRecord, RunId, RunMode, StoredEnd};
pub use event::{StoredEvent, StoredKind, StoredPriority};
pub use lesson::{LessonSource, StillLesson, StillReset, StoredBalance};
pub use open::Store;
pub use payload::{ENTRY_BYTES_MAX, PAYLOAD_VERSION};
pub use project::{BegunGroup, ClockAnchor, RunState, RunStatus, RunSummary};
pub use stills::{ResetNote, StillState, Taught};
pub use verify::{VerifyFailure, VerifyReport};
