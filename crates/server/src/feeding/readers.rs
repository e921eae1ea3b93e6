//! The threads that read: one for each source of the file that is at work.

use std::io;
use std::sync::Arc;
use std::thread::{self, JoinHandle};
use std::time::Duration;

use feeds::{Feeds, Source, SourceKind, Told};

use super::desks::{Desks, Seat};
use super::growing::GrowingFile;
use super::line::Line;
use super::one_wire;
use super::serial;
use super::stop::{Stop, join};

/// The threads of one file.
#[derive(Debug, Default)]
pub(super) struct Readers {
    stop: Arc<Stop>,
    threads: Vec<JoinHandle<()>>,
}

impl Readers {
    /// Begins to read every source.
    pub(super) fn start(feeds: &Feeds, generation: u64, desks: &Arc<Desks>) -> Self {
        let mut readers = Self::default();
        for (still, of) in feeds.stills.iter().enumerate() {
            for (source, about) in of.sources.iter().cloned().enumerate() {
                let seat = Seat { generation, still, source };
                let line = Line::new(desks, seat, &readers.stop);
                let name = format!("feed {}", about.name);
                let begun = thread::Builder::new().name(name).spawn(move || read(&about, &line));
                match begun {
                    Ok(thread) => readers.threads.push(thread),
                    Err(error) => {
                        desks.trouble(seat, &format!("the system gives no thread: {error}"));
                    }
                }
            }
        }
        readers
    }

    /// Stops them; waits not longer than a second.
    pub(super) fn stop(&mut self) {
        self.stop.tell();
        join(std::mem::take(&mut self.threads));
    }
}

fn read(source: &Source, line: &Line) {
    match source.kind {
        SourceKind::OneWire { every_s } => {
            let look = || one_wire::look(&source.path).map(Some);
            each(source, every_s, line, look);
        }
        SourceKind::File { every_s } => {
            let mut file = GrowingFile::new(source);
            each(source, every_s, line, || file.look());
        }
        SourceKind::Serial { baud, lines } => serial::read(source, baud, lines, line),
    }
}

/// Looks again and again.
fn each(
    source: &Source,
    every_s: f64,
    line: &Line,
    mut look: impl FnMut() -> io::Result<Option<Told>>,
) {
    let mut unreadable = false;
    loop {
        let looked = look();
        let was_unreadable = std::mem::replace(&mut unreadable, looked.is_err());
        match looked {
            Ok(Some(told)) => line.tell(&told),
            Ok(None) if was_unreadable => line.no_news(&source.path),
            Ok(None) => {}
            Err(error) => line.trouble(&source.path, &error),
        }
        if line.wait(Duration::from_secs_f64(every_s)) {
            return;
        }
    }
}
