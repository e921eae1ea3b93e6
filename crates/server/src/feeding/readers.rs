//! The threads that read: one for each source of the file that is at work.

use std::cell::RefCell;
use std::collections::HashMap;
use std::io;
use std::sync::Arc;
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use feeds::{Source, SourceKind};

use super::desks::{Desks, Seat};
use super::grew::Grew;
use super::growing::GrowingFile;
use super::line::Line;
use super::stop::{Stop, join};
use super::{mqtt, one_wire, serial};

/// The threads of the file that is at work.
#[derive(Debug, Default)]
pub(super) struct Readers(HashMap<Seat, Reader>);

/// A thread, and how it is told to stop.
#[derive(Debug)]
struct Reader {
    stop: Arc<Stop>,
    thread: JoinHandle<()>,
}

impl Readers {
    /// Reads those sources from here on: goes on where one is read already, ends the others first,
    /// so that a device is let go of before somebody else opens it.
    pub(super) fn change_to(&mut self, sources: Vec<(Seat, Source)>, desks: &Arc<Desks>) {
        let goes_on = |seat: &Seat| sources.iter().any(|(other, _)| other == seat);
        let over: Vec<Seat> = self.0.keys().filter(|seat| !goes_on(seat)).copied().collect();
        end(over.iter().filter_map(|seat| self.0.remove(seat)).collect());
        for (seat, source) in sources {
            if self.0.contains_key(&seat) {
                continue;
            }
            let stop = Arc::new(Stop::default());
            let line = Line::new(desks, seat, &stop);
            let name = format!("feed {}", source.name);
            match thread::Builder::new().name(name).spawn(move || read(&source, &line)) {
                Ok(thread) => drop(self.0.insert(seat, Reader { stop, thread })),
                Err(error) => {
                    desks.trouble(seat, &format!("the system gives no thread: {error}"));
                }
            }
        }
    }

    /// Stops them; waits not longer than a second.
    pub(super) fn stop(&mut self) {
        end(self.0.drain().map(|(_, reader)| reader).collect());
    }
}

fn end(readers: Vec<Reader>) {
    for reader in &readers {
        reader.stop.tell();
    }
    join(readers.into_iter().map(|reader| reader.thread));
}

/// Least time from the end of a look to the next (judgement: a thermometer whose conversion takes
/// as long as its looks are apart leaves the others of its wire a gap).
const PAUSE_LEAST: Duration = Duration::from_millis(10);

fn read(source: &Source, line: &Line) {
    match &source.kind {
        SourceKind::OneWire { every_s } => {
            let look = || one_wire::look(&source.path).map(|told| line.tell(&told)).map(|()| true);
            each(source, *every_s, line, look, |pause| line.wait(pause));
        }
        SourceKind::File { every_s, time } => {
            let mut file = GrowingFile::new(source, *every_s, time.as_deref());
            let grew = RefCell::new(Grew::default());
            let look = || {
                // Watched before it is looked at: what is written meanwhile is told.
                grew.borrow_mut().watch(&source.path);
                file.look(line)
            };
            each(source, *every_s, line, look, |pause| grew.borrow().wait(pause, line));
        }
        SourceKind::Serial { baud, lines } => serial::read(source, *baud, *lines, line),
        SourceKind::Mqtt { broker } => mqtt::listen(source, broker, line),
    }
}

/// Looks again and again, from the beginning of one look to that of the next; a look tells whether
/// something came, a pause whether to stop.
fn each(
    source: &Source,
    every_s: f64,
    line: &Line,
    mut look: impl FnMut() -> io::Result<bool>,
    pause: impl Fn(Duration) -> bool,
) {
    let every = Duration::from_secs_f64(every_s);
    // Until something came it is said what is waited for.
    let mut unreadable = true;
    loop {
        let began = Instant::now();
        let looked = look();
        let was_unreadable = std::mem::replace(&mut unreadable, looked.is_err());
        match looked {
            Ok(false) if was_unreadable => line.no_news(&source.path),
            Ok(_) => {}
            Err(error) => line.trouble(&source.path, &error),
        }
        if pause(every.saturating_sub(began.elapsed()).max(PAUSE_LEAST)) {
            return;
        }
    }
}
