//! The log in SQLite: open it, add to it, read it back, prove that it is whole.

mod append;
mod chain;
mod entry;
#[cfg(test)]
mod full_disk;
mod lesson;
mod migrate;
mod open;
mod payload;
mod project;
mod read;
mod seal;
mod stills;
mod transfer;
mod verify;

pub use append::NewRun;
pub use entry::{
    Entry, EntryNumber, Logged, OwnStillRecord, RunId, RunMode, StoredEnd, StoredEvent,
};
pub use lesson::{LessonSource, StillLesson, StillReset, StoredBalance};
pub use open::Store;
pub use payload::{ENTRY_BYTES_MAX, PAYLOAD_VERSION};
pub use project::{ClockAnchor, RunState, RunStatus, RunSummary};
pub use stills::{ResetNote, StillState, Taught};
pub use verify::{VerifyFailure, VerifyReport};
