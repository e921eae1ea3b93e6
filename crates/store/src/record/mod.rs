//! The log in SQLite: open it, add to it, read it back, prove that it is whole.

mod act;
mod anchor;
mod append;
mod aside;
mod backup;
mod beliefs;
mod belong;
mod book;
mod book_acts;
mod book_ahead;
mod calibrated;
mod calibrating;
mod chain;
mod entry;
mod event;
mod failure;
mod fold;
#[cfg(test)]
mod full_disk;
mod gauge_marks;
mod instrument;
mod instruments;
mod known_loss;
mod lesson;
mod loss;
mod migrate;
mod new_run;
mod noses;
mod open;
mod pages;
mod payload;
mod payload_checks;
mod plans;
mod project;
mod read;
mod reader;
mod rescue;
mod rolling;
mod run_id;
mod run_into_book;
mod seal;
mod standing_lots;
mod steady;
mod stills;
mod tended;
mod transfer;
mod units;
mod upkeep;
mod verify;
mod wash_charge;
mod wash_entry;
mod wash_named;
mod wash_state;
mod washes;
mod writing;

pub use act::{BegunStep, CheckList, KEY_CHARACTERS_MAX, KeptPlan, LearningChoice, RequestKey};
pub use anchor::Anchor;
pub use backup::Restored;
pub use book_acts::ActEntries;
pub use calibrated::{
    CALIBRATED_KEYS, CalibratedFrom, CalibratedValue, CalibrationDropped, FurtherRun, LeftOut,
    NotApart, StillCalibration, take_over,
};
pub use entry::{Entry, Logged, OwnStillRecord, StoredEnd};
pub use event::{StoredEvent, StoredKind, StoredPriority};
pub use failure::{Trouble, VerifyFailure};
pub use instrument::{
    CalibrationPoint, Instrument, InstrumentCalibrated, InstrumentDropped, KnownInstrument,
    RunInstrument, RunInstruments,
};
pub use instruments::OfferedOffset;
pub use known_loss::LossAccepted;
pub use lesson::{LessonSource, StillLesson, StillReset, StoredBalance};
pub use loss::{LOST_CODE, Loss};
pub use new_run::{NewRun, RunMode};
pub use open::Store;
pub use payload::{ENTRY_BYTES_MAX, PAYLOAD_VERSION};
pub use project::{BegunGroup, ClockAnchor, RunState, RunStatus, RunSummary};
pub use rolling::RecordHead;
pub use run_id::{EntryNumber, RunId};
pub use run_into_book::{IntoBook, Prices};
pub use standing_lots::StandingLot;
pub use steady::{BootId, SteadyMark};
pub use stills::{CalibratedNote, ResetNote, StillState, Taught};
pub use tended::{NoseWords, Nosed, Tended, Upkeep, UpkeepDone, UpkeepDropped, UpkeepKind};
pub use units::{EnteredUnits, FedUnit, FedUnits, TypedUnits};
pub use upkeep::KnownUpkeep;
pub use verify::VerifyReport;
pub use wash_entry::{
    WashBy, WashCharge, WashDone, WashEnd, WashEntry, WashFloated, WashRead, WashRecipe,
    WashWithdrawn,
};
pub use wash_state::{Struck, WashLine, WashState};
