//! What can be written into the record.

use advise::RunEnd;
use sense::{Action, JarRecord, Reading};
use serde::{Deserialize, Serialize};
use still::outcome::EndedBy;
use still::plan::{Measured, RunPlan, Still};

use super::act::{BegunStep, CheckList, KeptPlan, LearningChoice, RequestKey};
use super::calibrated::{CalibrationDropped, StillCalibration};
use super::event::StoredEvent;
use super::instrument::{Instrument, InstrumentCalibrated, InstrumentDropped, RunInstruments};
use super::known_loss::LossAccepted;
use super::lesson::{StillLesson, StillReset, StoredBalance};
use super::new_run::NewRun;
use super::run_id::EntryNumber;
use super::steady::SteadyMark;
use super::tended::Tended;
use super::units::EnteredUnits;
use super::wash_entry::WashEntry;

/// The end of a run as the record keeps it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StoredEnd {
    /// When, s.
    pub time_s: f64,
    /// Why.
    pub ended_by: EndedBy,
    /// Litres at 20 °C drawn.
    pub litres_20c: f64,
    /// Litres of pure alcohol drawn.
    pub pure_alcohol_l: f64,
}

impl From<&RunEnd> for StoredEnd {
    fn from(end: &RunEnd) -> Self {
        Self {
            time_s: end.time_s,
            ended_by: end.ended_by,
            litres_20c: end.litres_20c,
            pure_alcohol_l: end.pure_alcohol_l,
        }
    }
}

/// The owner's still, and which of its keys were assumed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OwnStillRecord {
    /// The still.
    pub still: Still,
    /// Keys that nobody has set.
    pub defaulted: Vec<String>,
    /// What they follow from as far as it was measured.
    #[serde(default, skip_serializing_if = "nothing_measured")]
    pub measured: Measured,
}

fn nothing_measured(measured: &Measured) -> bool {
    *measured == Measured::default()
}

/// One entry of the record.
#[derive(Debug, Clone, PartialEq)]
pub enum Entry {
    /// A run is opened; always its first entry.
    Opened(Box<NewRun>),
    /// The plan was changed before heat.
    Plan(Box<RunPlan>),
    /// Heater on: run time 0 is this moment of UTC.
    Started {
        /// Milliseconds since 1970 UTC.
        started_ms: i64,
        /// What the clock that nobody sets showed then, where it can be known.
        steady: Option<SteadyMark>,
    },
    /// From this run time on the clock on the wall shows that moment: it was set, or the
    /// computer began anew.
    Clock {
        /// Run time, s.
        time_s: f64,
        /// Milliseconds since 1970 UTC.
        utc_ms: i64,
        /// What the clock that nobody sets showed then, where it can be known.
        steady: Option<SteadyMark>,
    },
    /// Rows that were read.
    Readings(Vec<(f64, Reading)>),
    /// One row that a person read: it can be taken back.
    ReadByHand(f64, Reading),
    /// Something was done.
    Action(f64, Action),
    /// A jar was recorded; one of the same number replaces it from here on.
    Jar(JarRecord),
    /// The engine said something.
    Event(StoredEvent),
    /// An earlier action, jar, check list or begun step (with all it brought) does not hold.
    Withdrawn {
        /// The entry that does not hold.
        entry: EntryNumber,
    },
    /// The entry after this one takes the place of an earlier one.
    Corrected {
        /// The entry that does not hold any more.
        entry: EntryNumber,
    },
    /// A step of the plan was begun, with the entries after this one.
    Begun(BegunStep),
    /// The request that brought the entries after this one.
    Keyed(RequestKey),
    /// The check list was gone through.
    Checks(CheckList),
    /// The jars of this run hold so much from now on.
    JarSize {
        /// Run time, s.
        time_s: f64,
        /// What one jar holds, mL.
        ml: f64,
    },
    /// The run was given up.
    Abandoned {
        /// Run time, s.
        time_s: f64,
        /// Why, in words.
        reason: String,
    },
    /// The person calls the run so from now on.
    Named {
        /// Its name.
        name: String,
    },
    /// Whether a run counts for what is learned; in the log of the house.
    Learning(LearningChoice),
    /// A plan is kept under a name; in the log of the house.
    PlanKept(Box<KeptPlan>),
    /// The plan of that name is not kept any more; in the log of the house.
    PlanDropped {
        /// Its name.
        name: String,
    },
    /// A rehearsal runs at another speed from this run second on.
    Speed {
        /// Run time, s.
        time_s: f64,
        /// Run seconds per second.
        speed: f64,
    },
    /// The run is over.
    Ended(StoredEnd),
    /// The truth of a simulated recording, passed through.
    Outcome(serde_json::Value),
    /// Where the alcohol of the run went.
    Balance(Box<StoredBalance>),
    /// The house's own still.
    OwnStill(Box<OwnStillRecord>),
    /// What a run taught about a still; in the log of the house.
    Learned(Box<StillLesson>),
    /// A still was changed; in the log of the house.
    StillReset(Box<StillReset>),
    /// Several runs gave the values of a still; in the log of the house.
    Calibrated(Box<StillCalibration>),
    /// Who did what an entry shortly before this one tells.
    By {
        /// A person's name, or what they come in as.
        by: String,
        /// How many entries before this one it stands: the first of an act.
        entries: u32,
    },
    /// The calibration of a still is set aside; in the log of the house.
    CalibrationDropped(Box<CalibrationDropped>),
    /// An instrument that reads a channel of a still; in the log of the house.
    Instrument(Box<Instrument>),
    /// An instrument was calibrated; in the log of the house.
    InstrumentCalibrated(Box<InstrumentCalibrated>),
    /// An instrument reads its channel no more; in the log of the house.
    InstrumentDropped(InstrumentDropped),
    /// The instruments that the run is read with from here on.
    Instruments(RunInstruments),
    /// Units as they were entered.
    Units(EnteredUnits),
    /// Entries that were lost are known to be; in the log of the house.
    LossAccepted(LossAccepted),
    /// Upkeep of a still, and what noses said of jars; in the log of the house.
    Tended(Box<Tended>),
    /// An entry of the account of pure alcohol; in the log of the book.
    Account(Box<account::Entry>),
    /// What is written of a wash; in the log of that wash.
    Wash(Box<WashEntry>),
}

/// An entry with its place and times.
#[derive(Debug, Clone, PartialEq)]
pub struct Logged {
    /// Place in the run.
    pub number: EntryNumber,
    /// When it happened, milliseconds of UTC.
    pub measured_ms: i64,
    /// When it was written, milliseconds of UTC.
    pub stored_ms: i64,
    /// The entry.
    pub entry: Entry,
}
