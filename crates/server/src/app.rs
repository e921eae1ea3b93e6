//! What every route can reach: the two records, the clock, the open sessions.

use store::{RunId, RunMode};
use tokio::sync::{Semaphore, watch};

use crate::clock::Clock;
use crate::keeper::Keeper;
use crate::problem::ApiError;
use crate::session::{Handle, Sessions};
use crate::teacher::{self, Teacher};

/// Most forecasts that are computed at once.
const FORECASTS_MAX: usize = 2;
/// Most followers of live events.
const FOLLOWERS_MAX: usize = 64;

/// Of how many of the newest runs it is looked up whether they have taught.
const UNTAUGHT_MAX: usize = 8;

/// The record's own log of the house, which is no run.
const HOUSE_LOG: &str = "house";
/// Most characters of an unknown id that an answer repeats.
const ID_SHOWN_MAX: usize = 60;

/// The state of the server.
#[derive(Debug)]
pub(crate) struct App {
    /// The person's own record.
    pub(crate) own: Keeper,
    /// Rehearsals of the example house: a record of their own, in a folder of their own.
    pub(crate) example: Keeper,
    pub(crate) clock: Clock,
    pub(crate) sessions: Sessions,
    pub(crate) forecasts: Semaphore,
    pub(crate) followers: std::sync::Arc<Semaphore>,
    /// Turns true when the program stops.
    pub(crate) stopping: watch::Receiver<bool>,
}

impl App {
    pub(crate) fn new(
        own: Keeper,
        example: Keeper,
        clock: Clock,
        stopping: watch::Receiver<bool>,
    ) -> std::io::Result<Self> {
        let teacher = Teacher::start(&own, &example, &clock, teacher::FIT)?;
        Ok(Self {
            own,
            example,
            clock,
            sessions: Sessions::new(teacher),
            forecasts: Semaphore::new(FORECASTS_MAX),
            followers: std::sync::Arc::new(Semaphore::new(FOLLOWERS_MAX)),
            stopping,
        })
    }

    /// The record of the example house, or the person's own.
    pub(crate) fn record(&self, example: bool) -> &Keeper {
        if example { &self.example } else { &self.own }
    }

    /// What learns from runs that are over.
    pub(crate) fn teacher(&self) -> &Teacher {
        self.sessions.teacher()
    }

    /// The record that holds the run.
    pub(crate) async fn keeper_of(&self, id: &RunId) -> Result<&Keeper, ApiError> {
        Ok(self.record(self.is_example(id).await?))
    }

    /// Whether the record of the example house holds the run.
    pub(crate) async fn is_example(&self, id: &RunId) -> Result<bool, ApiError> {
        let nobody = || ApiError::NoRun { id: id.as_str().chars().take(ID_SHOWN_MAX).collect() };
        if id.as_str() == HOUSE_LOG {
            return Err(nobody());
        }
        for example in [false, true] {
            let asked = id.clone();
            match self.record(example).read(move |store| store.length(&asked)).await {
                Ok(_) => return Ok(example),
                Err(ApiError::NoRun { .. }) => {}
                Err(other) => return Err(other),
            }
        }
        Err(nobody())
    }

    /// The session of a run.
    pub(crate) async fn session(&self, id: &str) -> Result<Handle, ApiError> {
        let id = RunId::new(id);
        let keeper = self.keeper_of(&id).await?;
        self.sessions.open(&id, keeper, &self.clock)
    }

    /// Opens every run that was going on when the program last stopped.
    pub(crate) fn resume(&self) -> Result<(), ApiError> {
        for (keeper, example) in [(&self.own, false), (&self.example, true)] {
            let runs = keeper.reader().runs(example)?;
            let on = runs.iter().filter(|run| run.status == store::RunStatus::Running);
            // What a run taught is lost where the program was stopped right after it.
            for run in runs.iter().rev().take(UNTAUGHT_MAX).rev() {
                if run.mode == RunMode::Real && run.ended.is_some() && !run.balanced {
                    self.teacher().ended(&run.id, example);
                }
            }
            // The newest first: an old rehearsal must not keep a run from going on.
            for run in on.rev().take(crate::session::SESSIONS_MAX / 2) {
                self.sessions.open(&run.id, keeper, &self.clock)?;
            }
        }
        Ok(())
    }
}
