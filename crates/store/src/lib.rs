//! The record: run folders on disk, and an append-only, chained log of every run in SQLite.
//!
//! [`folder`] reads and writes a run as plain text; [`Store`] keeps the log, lets nothing be
//! rubbed out, and can prove it ([`Store::verify`]). No clock is read here: times are arguments.

// The helpers of the integration tests name this crate as they see it.
#[cfg(test)]
extern crate self as store;

pub mod access;
pub mod book;
mod error;
pub mod folder;
mod record;
pub mod rows;
pub mod time;
pub mod toml_text;

pub use error::StoreError;
pub use record::{
    ActEntries, Anchor, BegunGroup, BegunStep, BootId, CALIBRATED_KEYS, CalibratedFrom,
    CalibratedNote, CalibratedValue, CalibrationDropped, CalibrationPoint, CheckList, ClockAnchor,
    ENTRY_BYTES_MAX, EnteredUnits, Entry, EntryNumber, FedUnit, FedUnits, FurtherRun, Instrument,
    InstrumentCalibrated, InstrumentDropped, IntoBook, KEY_CHARACTERS_MAX, KeptPlan,
    KnownInstrument, KnownUpkeep, LOST_CODE, LearningChoice, LeftOut, LessonSource, Logged, Loss,
    LossAccepted, NewRun, NoseWords, Nosed, NotApart, OfferedOffset, OwnStillRecord,
    PAYLOAD_VERSION, Prices, RecordHead, RequestKey, ResetNote, Restored, RunId, RunInstrument,
    RunInstruments, RunMode, RunState, RunStatus, RunSummary, StandingLot, SteadyMark,
    StillCalibration, StillLesson, StillReset, StillState, Store, StoredBalance, StoredEnd,
    StoredEvent, StoredKind, StoredPriority, Struck, Taught, Tended, Trouble, TypedUnits, Upkeep,
    UpkeepDone, UpkeepDropped, UpkeepKind, VerifyFailure, VerifyReport, WashBy, WashCharge,
    WashDone, WashEnd, WashEntry, WashFloated, WashLine, WashRead, WashRecipe, WashState,
    WashWithdrawn, take_over,
};
