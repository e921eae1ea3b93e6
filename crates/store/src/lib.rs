//! The record: run folders on disk, and an append-only, chained log of every run in SQLite.
//!
//! [`folder`] reads and writes a run as plain text; [`Store`] keeps the log, lets nothing be
//! rubbed out, and can prove it ([`Store::verify`]). No clock is read here: times are arguments.

mod error;
pub mod folder;
mod record;
pub mod rows;
pub mod time;

pub use error::StoreError;
pub use record::{
    ENTRY_BYTES_MAX, Entry, EntryNumber, Logged, NewRun, OwnStillRecord, PAYLOAD_VERSION, RunId,
    RunMode, RunState, RunStatus, RunSummary, Store, StoredEnd, StoredEvent, VerifyFailure,
    VerifyReport,
};
