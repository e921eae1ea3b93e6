//! What can be said to a session, and what it says to everybody who follows.

use std::sync::Arc;

use advise::{AlarmReview, Knowledge};
use store::{FedUnit, RunId};
use tokio::sync::{broadcast, oneshot};

use crate::problem::ApiError;
use crate::wire::attending::AttendedWire;
use crate::wire::record::{
    AbandonAsk, AcceptedWire, ActionAsk, BeginAsk, BegunWire, ChecksAsk, CorrectAsk, EntryWire,
    GoOnAsk, JarAsk, JarSizeAsk, NameAsk, NoteAsk, ReadingsAsk, SpeedWire, UndoAsk,
};
use crate::wire::run::RunWire;

/// Where the answer goes.
pub(crate) type Answer<T> = oneshot::Sender<Result<T, ApiError>>;

/// One thing to do.
#[derive(Debug)]
pub(crate) enum Command {
    /// Show the whole run.
    Show(Answer<Box<RunWire>>),
    /// Say how it stands, where it is going on.
    Attend(Answer<Option<Box<AttendedWire>>>),
    /// Look back at its alarms.
    Alarms(Answer<AlarmReview>),
    /// Follow it from here on; what was said after the entry comes first.
    Follow(Option<u64>, Answer<Following>),
    /// Rows were read.
    Read(ReadingsAsk, Answer<AcceptedWire>),
    /// Feeds read rows, each at a time of the steady clock; how many were taken, how many there are.
    Feed(Box<Fed>, Answer<(u64, u64)>),
    /// Tell what is known now.
    Know(Answer<Box<Known>>),
    /// A person records something.
    Do(Box<Deed>, Answer<EntryWire>),
    /// A step begins.
    Begin(BeginAsk, Answer<BegunWire>),
    /// The run goes on after an interruption.
    GoOn(GoOnAsk, Answer<BegunWire>),
    /// The instruments of its still were changed.
    Instruments(Answer<()>),
    /// A rehearsal goes at another speed.
    Speed(f64, Answer<SpeedWire>),
    /// What somebody who was let in asks, by the name they were let in under.
    By(String, Box<Command>),
    /// The program stops; the run does not end.
    Stop,
}

/// Rows that feeds read, and what their sources count in.
#[derive(Debug, Clone)]
pub(crate) struct Fed {
    /// The rows.
    pub(crate) rows: Vec<feeds::Row>,
    /// What is converted on its way.
    pub(crate) units: Vec<FedUnit>,
}

/// What is known of a run now, for those who tell it elsewhere.
#[derive(Debug, Clone)]
pub(crate) struct Known {
    /// The run.
    pub(crate) run: RunId,
    /// What its still is called.
    pub(crate) still: String,
    /// Run time 0, ms UTC; none before heat.
    pub(crate) started_ms: Option<i64>,
    /// How many rows it has.
    pub(crate) rows: usize,
    /// What the page reads too.
    pub(crate) knowledge: Knowledge,
}

/// What a person records.
#[derive(Debug)]
pub(crate) enum Deed {
    /// Something was done.
    Act(ActionAsk),
    /// A jar was filled.
    Jar(JarAsk),
    /// The jars hold so much.
    JarSize(JarSizeAsk),
    /// The check list was gone through.
    Checks(ChecksAsk),
    /// A note.
    Note(NoteAsk),
    /// An entry does not hold.
    Undo(UndoAsk),
    /// Another entry takes its place.
    Correct(Box<CorrectAsk>),
    /// The run has a name.
    Name(NameAsk),
    /// The run is given up.
    Abandon(AbandonAsk),
    /// The run is over.
    End,
}

/// What a session says to those who follow, as JSON made once for all of them.
#[derive(Debug, Clone)]
pub(crate) enum Said {
    /// What is known now.
    Knowledge(Arc<str>),
    /// One event, and the entry that holds it.
    Event(u64, Arc<str>),
    /// Somebody recorded or withdrew something.
    Recorded(Arc<str>),
    /// Another speed.
    Speed(Arc<str>),
}

/// What somebody who begins to follow gets.
#[derive(Debug)]
pub(crate) struct Following {
    /// What is known now.
    pub(crate) knowledge: Arc<str>,
    /// What was said since the entry they know; none where that is more than is sent.
    pub(crate) missed: Option<Vec<Said>>,
    /// Everything from here on.
    pub(crate) feed: broadcast::Receiver<Said>,
}
