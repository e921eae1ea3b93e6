//! Live sessions: one thread for each open run owns its engine; everything else talks to it
//! through a bounded channel, and hears it through a bounded broadcast.
//!
//! A thread and not a task, because an engine computes and a store waits for its disk; neither
//! may hold up the tasks that answer requests.

mod acts;
mod advance;
mod alarms;
mod amend;
mod answers;
mod attended;
mod by_hand;
mod checkpoints;
mod clock_words;
mod command;
mod course;
mod device_clock;
mod engine_rows;
mod entered;
mod estimate_thread;
mod estimating;
mod fed;
mod instruments;
mod jars;
mod keys;
mod life;
mod log;
mod points;
mod record;
mod resume;
mod row;
mod run_time;
mod said;
mod simulated;
mod state;
mod unlikely;
mod worker;

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

pub(crate) use command::{Command, Deed, Fed, Following, Known, Said};
pub(crate) use entered::fed_units;
pub(crate) use life::{Handle, Kind};
pub(crate) use log::json;
use store::RunId;

use crate::alerts::Alerts;
use crate::clock::Clock;
use crate::forecasts::ForecastCache;
use crate::keeper::Keeper;
use crate::problem::ApiError;
use crate::teacher::Teacher;
pub(crate) use course::check_speed;
use life::Open;
pub(crate) use state::{RunSession, SessionDeps};
pub use unlikely::is_over_charge;

/// Most runs that are open at once; ended ones make room for others.
pub(crate) const SESSIONS_MAX: usize = 32;

/// The open sessions, and what learns from those that are over.
#[derive(Debug)]
pub(crate) struct Sessions {
    open: Mutex<HashMap<RunId, Open>>,
    teacher: Arc<Teacher>,
    forecasts: Arc<ForecastCache>,
    alerts: Arc<Alerts>,
    estimates: bool,
}

impl Sessions {
    /// No session yet.
    pub(crate) fn new(
        teacher: Arc<Teacher>,
        forecasts: Arc<ForecastCache>,
        alerts: Arc<Alerts>,
        estimates: bool,
    ) -> Self {
        Self { open: Mutex::default(), teacher, forecasts, alerts, estimates }
    }

    /// What learns from runs that are over.
    pub(crate) fn teacher(&self) -> &Teacher {
        &self.teacher
    }

    /// The session of a run, opened where it is not.
    ///
    /// # Errors
    /// [`ApiError::Busy`] where too many runs are going on, [`ApiError::Inside`] where the
    /// system gives no thread.
    pub(crate) fn open(
        &self,
        id: &RunId,
        keeper: &Keeper,
        clock: &Clock,
    ) -> Result<Handle, ApiError> {
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(found) = open.get(id).filter(|found| !found.thread.is_finished()) {
            return Ok(found.handle.clone());
        }
        make_room(&mut open)?;
        self.start(&mut open, id, Kind::Simulated, keeper, clock)
    }

    /// The session of a run that begins or goes on. A real one is opened however many are open: it
    /// waits for no rehearsal.
    ///
    /// # Errors
    /// As [`Self::open`]; for a real run only [`ApiError::Inside`].
    pub(crate) fn begin(
        &self,
        id: &RunId,
        kind: Kind,
        keeper: &Keeper,
        clock: &Clock,
    ) -> Result<(), ApiError> {
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        match make_room(&mut open) {
            Err(error) if kind == Kind::Simulated => Err(error),
            _ => self.start(&mut open, id, kind, keeper, clock).map(drop),
        }
    }

    fn start(
        &self,
        open: &mut HashMap<RunId, Open>,
        id: &RunId,
        kind: Kind,
        keeper: &Keeper,
        clock: &Clock,
    ) -> Result<Handle, ApiError> {
        let deps = SessionDeps {
            keeper: keeper.clone(),
            clock: clock.clone(),
            teacher: Arc::clone(&self.teacher),
            forecasts: Arc::clone(&self.forecasts),
            alerts: Arc::clone(&self.alerts),
            estimates: self.estimates,
        };
        let begun = RunSession::on_a_thread(id, kind, deps)?;
        let handle = begun.handle.clone();
        open.insert(id.clone(), begun);
        Ok(handle)
    }

    /// The sessions of the real runs that are not over.
    pub(crate) fn real(&self) -> Vec<Handle> {
        let open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        let real = open.values().filter(|one| one.handle.kind() == Kind::Real);
        let on = real.filter(|one| !one.handle.is_over() && !one.thread.is_finished());
        on.map(|one| one.handle.clone()).collect()
    }

    /// The session that attends that still, where it is surely the only one.
    pub(crate) fn of_still(&self, still: &str) -> Option<Handle> {
        let real = self.real();
        let may_be = |handle: &&Handle| handle.still().is_none_or(|name| name == still);
        let mut found = real.iter().filter(may_be);
        let only = found.next().filter(|handle| handle.still().is_some() && handle.has_begun())?;
        found.next().is_none().then(|| only.clone())
    }

    /// How many open runs of that kind are not over.
    pub(crate) fn running(&self, kind: Kind) -> usize {
        let open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        let of_kind = open.values().filter(|one| one.handle.kind() == kind);
        of_kind.filter(|one| !one.handle.is_over()).count()
    }

    /// Whether that run is open.
    pub(crate) fn is_open(&self, id: &RunId) -> bool {
        let open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        open.get(id).is_some_and(|one| !one.thread.is_finished())
    }

    /// Tells every session to stop, and waits until each has.
    pub(crate) fn stop(&self) {
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        let all: Vec<Open> = open.drain().map(|(_, one)| one).collect();
        for one in &all {
            one.handle.stop();
        }
        for one in all {
            let _ = one.thread.join();
        }
    }
}

/// Closes a session that is over where there are too many.
fn make_room(open: &mut HashMap<RunId, Open>) -> Result<(), ApiError> {
    open.retain(|_, one| !one.thread.is_finished());
    if open.len() < SESSIONS_MAX {
        return Ok(());
    }
    let over = open.iter().find(|(_, one)| one.handle.is_over());
    let id = over.map(|(id, _)| id.clone()).ok_or(ApiError::Busy)?;
    if let Some(one) = open.remove(&id) {
        one.handle.stop_soon();
    }
    Ok(())
}
