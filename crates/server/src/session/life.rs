//! The life of a session's thread: its loop, its looks at the clock, its answers.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::{Duration, Instant};

use store::RunId;

use super::command::{Answer, Command, Following, Said};
use super::state::{RunSession, SessionDeps};
use crate::problem::ApiError;

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
            Command::Act(ask, answer) => reply(answer, self.act(ask)),
            Command::Jar(ask, answer) => reply(answer, self.jar(ask)),
            Command::Undo(entry, answer) => reply(answer, self.undo(entry)),
            Command::Speed(speed, answer) => reply(answer, self.set_speed(speed)),
            Command::End(answer) => reply(answer, self.end()),
            Command::Stop => {}
        }
        self.news = true;
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
            Self::Act(_, answer)
            | Self::Jar(_, answer)
            | Self::Undo(_, answer)
            | Self::End(answer) => reply(answer, Err(error)),
            Self::Speed(_, answer) => reply(answer, Err(error)),
            Self::Stop => {}
        }
    }
}
