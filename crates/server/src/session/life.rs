//! The life of a session's thread: how it is asked, its loop, its looks at the clock, its answers.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, TrySendError, sync_channel};
use std::sync::{Arc, OnceLock};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use store::RunId;
use tokio::sync::oneshot;

use super::command::{Answer, Command, Deed, Following, Known, Said};
use super::log::json;
use super::points::point;
use super::state::{RunSession, SessionDeps};
use crate::problem::ApiError;
use crate::wire::knowledge::KnowledgeWire;
use crate::wire::record::EntryWire;
use crate::wire::run::KnowledgeMessageWire;

/// Time from one look at the clock to the next.
const BEAT: Duration = Duration::from_millis(125);
/// Least time from one frame to the next: what is new after a pause is told at once, so that a
/// reading a second costs no more frames than it did, and readings that come fast are seen within
/// this time (judgement: a screen that changes oftener is not read any better).
const FRAME_GAP: Duration = Duration::from_millis(75);
/// How long a run that cannot be opened waits to tell why.
const REFUSAL: Duration = Duration::from_secs(5);
/// Most commands that wait before one session; one more is refused as busy.
const COMMANDS_MAX: usize = 64;

/// What a run is of: neither kind keeps the other from beginning.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A real still.
    Real,
    /// A rehearsal, or a run that is only looked at.
    Simulated,
}

impl Kind {
    /// What runs of it are called.
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Real => "real runs",
            Self::Simulated => "rehearsals",
        }
    }
}

/// What leads to a session.
#[derive(Debug, Clone)]
pub(crate) struct Handle {
    commands: SyncSender<Command>,
    kind: Kind,
    seen: Arc<Seen>,
}

/// What can be seen of a session without asking it.
#[derive(Debug, Default)]
struct Seen {
    /// What its still is called; none before the run is open.
    still: OnceLock<String>,
    /// Whether run time counts.
    begun: AtomicBool,
    /// Whether the run is over.
    ended: AtomicBool,
}

impl Handle {
    /// Says something to the session and waits for its answer.
    ///
    /// # Errors
    /// What the session answers; [`ApiError::Busy`] where too much is waiting.
    pub(crate) async fn ask<T>(
        &self,
        command: impl FnOnce(Answer<T>) -> Command,
    ) -> Result<T, ApiError> {
        let (answer, answered) = oneshot::channel();
        self.commands.try_send(command(answer)).map_err(|error| match error {
            TrySendError::Full(_) | TrySendError::Disconnected(_) => ApiError::Busy,
        })?;
        answered.await.map_err(|_| ApiError::Busy)?
    }

    /// What the run is of.
    pub(super) const fn kind(&self) -> Kind {
        self.kind
    }

    /// Whether the run is over.
    pub(super) fn is_over(&self) -> bool {
        self.seen.ended.load(Ordering::SeqCst)
    }

    /// Whether run time counts.
    pub(super) fn has_begun(&self) -> bool {
        self.seen.begun.load(Ordering::SeqCst)
    }

    /// What its still is called; none while the run is being opened.
    pub(crate) fn still(&self) -> Option<&str> {
        self.seen.still.get().map(String::as_str)
    }

    /// Tells the session to stop.
    pub(super) fn stop(&self) {
        // A session that is gone has stopped.
        let _ = self.commands.send(Command::Stop);
    }

    /// Tells the session to stop, without waiting for room: where its queue is full it stops when
    /// it finds nobody there.
    pub(super) fn stop_soon(&self) {
        let _ = self.commands.try_send(Command::Stop);
    }
}

/// A session and the thread it runs on.
#[derive(Debug)]
pub(super) struct Open {
    pub(super) handle: Handle,
    pub(super) thread: JoinHandle<()>,
}

impl RunSession {
    /// The session of a run, on a thread of its own.
    ///
    /// # Errors
    /// [`ApiError::Inside`] where the system gives no thread.
    pub(super) fn on_a_thread(id: &RunId, kind: Kind, deps: SessionDeps) -> Result<Open, ApiError> {
        let (commands, received) = sync_channel(COMMANDS_MAX);
        let handle = Handle { commands, kind, seen: Arc::default() };
        let (name, seen) = (id.clone(), Arc::clone(&handle.seen));
        let thread = thread::Builder::new()
            .name(format!("run {id}"))
            .spawn(move || Self::live(&name, deps, &received, &seen))
            .map_err(|error| ApiError::Inside { what: format!("session {id}: {error}") })?;
        Ok(Open { handle, thread })
    }

    /// The whole life of a session's thread.
    fn live(id: &RunId, deps: SessionDeps, received: &Receiver<Command>, seen: &Seen) {
        match Self::open(id, deps) {
            Ok(mut session) => session.serve(received, seen),
            Err(error) => {
                seen.ended.store(true, Ordering::SeqCst);
                let what = format!("run {id} cannot be opened: {error}");
                tracing::error!("{what}");
                while let Ok(command) = received.recv_timeout(REFUSAL) {
                    command.refuse(&what);
                }
            }
        }
    }

    fn serve(&mut self, received: &Receiver<Command>, seen: &Seen) {
        let _ = seen.still.set(self.plan.still.name.clone());
        let mut next = Instant::now();
        let mut next_frame = next;
        loop {
            if Instant::now() >= next {
                self.beat();
                next = Instant::now() + BEAT;
            }
            if self.news && Instant::now() >= next_frame {
                self.tell_news();
                next_frame = Instant::now() + FRAME_GAP;
            }
            seen.ended.store(self.ended.is_some(), Ordering::SeqCst);
            seen.begun.store(self.time.is_some(), Ordering::SeqCst);
            let until = if self.news { next.min(next_frame) } else { next };
            match received.recv_timeout(until.saturating_duration_since(Instant::now())) {
                Ok(Command::Stop) | Err(RecvTimeoutError::Disconnected) => return,
                Ok(command) => self.obey(command),
                Err(RecvTimeoutError::Timeout) => {}
            }
        }
    }

    /// Moves run time on.
    fn beat(&mut self) {
        self.think(Duration::ZERO);
        self.look();
        self.tell_alarms();
    }

    /// Tells followers what is new.
    fn tell_news(&mut self) {
        self.news = false;
        if self.feed.receiver_count() > 0 {
            // Nobody left to hear it is no fault.
            let _ = self.feed.send(Said::Knowledge(self.frame()));
        }
    }

    /// What is known now, as text.
    fn frame(&self) -> Arc<str> {
        let knowledge = self.knowledge();
        let point = self.engine.ticked().map(|_| point(&knowledge));
        let (started_ms, recorded) = (self.started_ms(), self.recorded);
        let knowledge = KnowledgeWire::from(&knowledge);
        json(&KnowledgeMessageWire { knowledge, started_ms, recorded, point })
    }

    fn known(&self) -> Known {
        Known {
            run: self.id.clone(),
            still: self.plan.still.name.clone(),
            started_ms: self.started_ms(),
            rows: self.engine.row_count(),
            knowledge: self.knowledge(),
        }
    }

    fn obey(&mut self, command: Command) {
        match command {
            Command::Show(answer) => reply(answer, Ok(Box::new(self.show()))),
            Command::Alarms(answer) => reply(answer, Ok(self.alarm_review())),
            Command::Follow(known, answer) => {
                let knowledge = self.frame();
                let missed = known.map_or(Some(Vec::new()), |known| self.log.missed(known));
                let feed = self.feed.subscribe();
                reply(answer, Ok(Following { knowledge, missed, feed }));
            }
            Command::Attend(answer) => reply(answer, Ok(self.attended().map(Box::new))),
            Command::Read(rows, answer) => reply(answer, self.read(&rows)),
            Command::Feed(fed, answer) => reply(answer, self.read_fed(&fed)),
            Command::Know(answer) => return reply(answer, Ok(Box::new(self.known()))),
            Command::Do(deed, answer) => reply(answer, self.perform(*deed)),
            Command::Begin(ask, answer) => reply(answer, self.begin(&ask)),
            Command::GoOn(ask, answer) => reply(answer, self.go_on_again(&ask)),
            Command::Instruments(answer) => {
                self.advance();
                self.look_for_instruments();
                reply(answer, Ok(()));
            }
            Command::Speed(speed, answer) => reply(answer, self.set_speed(speed)),
            Command::By(name, command) => {
                self.acting = Some(name);
                return self.obey(*command);
            }
            Command::Stop => {}
        }
        self.acting = None;
        self.typed.clear();
        self.news = true;
    }

    fn perform(&mut self, deed: Deed) -> Result<EntryWire, ApiError> {
        match deed {
            Deed::Act(ask) => self.act(ask),
            Deed::Jar(ask) => self.jar(ask),
            Deed::JarSize(ask) => self.jar_size(&ask),
            Deed::Checks(ask) => self.check_list(ask),
            Deed::Note(ask) => self.note(ask),
            Deed::Undo(ask) => self.undo(&ask),
            Deed::Correct(ask) => self.correct(*ask),
            Deed::Name(ask) => self.name(&ask),
            Deed::Abandon(ask) => self.abandon(&ask),
            Deed::End => self.end(),
        }
    }
}

/// Answers; somebody who went away in the meantime hears nothing.
fn reply<T>(answer: Answer<T>, result: Result<T, ApiError>) {
    let _ = answer.send(result);
}

impl Command {
    /// Answers that the run cannot be opened.
    fn refuse(self, what: &str) {
        let error = ApiError::Inside { what: what.to_owned() };
        match self {
            Self::Show(answer) => reply(answer, Err(error)),
            Self::Attend(answer) => reply(answer, Err(error)),
            Self::Alarms(answer) => reply(answer, Err(error)),
            Self::Follow(_, answer) => reply(answer, Err(error)),
            Self::Read(_, answer) => reply(answer, Err(error)),
            Self::Feed(_, answer) => reply(answer, Err(error)),
            Self::Know(answer) => reply(answer, Err(error)),
            Self::Do(_, answer) => reply(answer, Err(error)),
            Self::Begin(_, answer) | Self::GoOn(_, answer) => reply(answer, Err(error)),
            Self::Instruments(answer) => reply(answer, Err(error)),
            Self::Speed(_, answer) => reply(answer, Err(error)),
            Self::By(_, command) => command.refuse(what),
            Self::Stop => {}
        }
    }

    /// As asked by somebody who was let in under a name, or by nobody in particular.
    pub(crate) fn by(self, name: Option<&str>) -> Self {
        match name {
            Some(name) => Self::By(name.to_owned(), Box::new(self)),
            None => self,
        }
    }
}
