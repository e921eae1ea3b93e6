//! The life of a session's thread: its loop, its looks at the clock, its answers.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::{Duration, Instant};

use store::RunId;

use super::command::{Answer, Command, Deed, Following, Said};
use super::state::{RunSession, SessionDeps};
use crate::problem::ApiError;
use crate::wire::record::EntryWire;

/// Time from one look at the clock to the next: four frames a second at most.
const BEAT: Duration = Duration::from_millis(250);
/// How long a run that cannot be opened waits to tell why.
const REFUSAL: Duration = Duration::from_secs(5);

impl RunSession {
    /// The whole life of a session's thread.
    pub(super) fn live(
        id: &RunId,
        deps: SessionDeps,
        received: &Receiver<Command>,
        ended: &AtomicBool,
    ) {
        match Self::open(id, deps) {
            Ok(mut session) => session.serve(received, ended),
            Err(error) => {
                ended.store(true, Ordering::SeqCst);
                let what = format!("run {id} cannot be opened: {error}");
                tracing::error!("{what}");
                while let Ok(command) = received.recv_timeout(REFUSAL) {
                    command.refuse(&what);
                }
            }
        }
    }

    fn serve(&mut self, received: &Receiver<Command>, ended: &AtomicBool) {
        let mut next = Instant::now();
        loop {
            if Instant::now() >= next {
                self.beat();
                next = Instant::now() + BEAT;
            }
            ended.store(self.ended.is_some(), Ordering::SeqCst);
            match received.recv_timeout(next.saturating_duration_since(Instant::now())) {
                Ok(Command::Stop) | Err(RecvTimeoutError::Disconnected) => return,
                Ok(command) => self.obey(command),
                Err(RecvTimeoutError::Timeout) => {}
            }
        }
    }

    /// Moves run time on and tells followers what is new.
    fn beat(&mut self) {
        self.think(Duration::ZERO);
        self.look();
        if std::mem::take(&mut self.news) && self.feed.receiver_count() > 0 {
            // Nobody left to hear it is no fault.
            let _ = self.feed.send(Said::Knowledge(self.frame()));
        }
    }

    fn obey(&mut self, command: Command) {
        match command {
            Command::Show(answer) => reply(answer, Ok(Box::new(self.show()))),
            Command::Follow(known, answer) => {
                let knowledge = self.frame();
                let missed = known.map_or(Some(Vec::new()), |known| self.log.missed(known));
                let feed = self.feed.subscribe();
                reply(answer, Ok(Following { knowledge, missed, feed }));
            }
            Command::Read(rows, answer) => reply(answer, self.read(&rows)),
            Command::Do(deed, answer) => reply(answer, self.perform(*deed)),
            Command::Begin(ask, answer) => reply(answer, self.begin(ask)),
            Command::GoOn(ask, answer) => reply(answer, self.go_on_again(ask)),
            Command::Speed(speed, answer) => reply(answer, self.set_speed(speed)),
            Command::Stop => {}
        }
        self.news = true;
    }

    fn perform(&mut self, deed: Deed) -> Result<EntryWire, ApiError> {
        match deed {
            Deed::Act(ask) => self.act(ask),
            Deed::Jar(ask) => self.jar(ask),
            Deed::JarSize(ask) => self.jar_size(ask),
            Deed::Checks(ask) => self.check_list(ask),
            Deed::Note(ask) => self.note(ask),
            Deed::Undo(ask) => self.undo(ask),
            Deed::Correct(ask) => self.correct(ask),
            Deed::Name(ask) => self.name(&ask),
            Deed::Abandon(ask) => self.abandon(ask),
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
            Self::Follow(_, answer) => reply(answer, Err(error)),
            Self::Read(_, answer) => reply(answer, Err(error)),
            Self::Do(_, answer) => reply(answer, Err(error)),
            Self::Begin(_, answer) | Self::GoOn(_, answer) => reply(answer, Err(error)),
            Self::Speed(_, answer) => reply(answer, Err(error)),
            Self::Stop => {}
        }
    }
}
