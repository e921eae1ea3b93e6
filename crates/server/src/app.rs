//! What every route can reach: the two records, the clock, the open sessions.

use store::RunId;
use tokio::sync::{Semaphore, watch};

use crate::clock::Clock;
use crate::keeper::Keeper;
use crate::problem::ApiError;
use crate::session::{Handle, Sessions};

/// Most forecasts that are computed at once.
const FORECASTS_MAX: usize = 2;
/// Most followers of live events.
const FOLLOWERS_MAX: usize = 64;

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
    ) -> Self {
        Self {
            own,
            example,
            clock,
            sessions: Sessions::default(),
            forecasts: Semaphore::new(FORECASTS_MAX),
            followers: std::sync::Arc::new(Semaphore::new(FOLLOWERS_MAX)),
            stopping,
        }
    }

    /// The record that holds the run.
    pub(crate) async fn keeper_of(&self, id: &RunId) -> Result<&Keeper, ApiError> {
        let nobody = || ApiError::NoRun { id: id.as_str().chars().take(ID_SHOWN_MAX).collect() };
        if id.as_str() == HOUSE_LOG {
            return Err(nobody());
        }
        for keeper in [&self.own, &self.example] {
            let asked = id.clone();
            match keeper.read(move |store| store.length(&asked)).await {
                Ok(_) => return Ok(keeper),
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
            // The newest first: an old rehearsal must not keep a run from going on.
            for run in on.rev().take(crate::session::SESSIONS_MAX / 2) {
                self.sessions.open(&run.id, keeper, &self.clock)?;
            }
        }
        Ok(())
    }
}
