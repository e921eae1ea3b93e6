//! Feeds at work: reads `feeds.toml` and the sources it names, each on a thread of its own, and
//! hands what is new to the runs and washes that are going on.
//!
//! A reading thread may hang with its device; it holds nothing that anybody waits for.

mod check;
mod desks;
mod file;
mod grew;
mod growing;
mod line;
mod mqtt;
mod one_wire;
pub(crate) mod put;
mod readers;
mod serial;
mod stop;

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread::{self, JoinHandle};
use std::time::Duration;

pub use check::{CheckedFeeds, CheckedStill, check_feeds};
pub(crate) use desks::{Desks, StillView, Told, View};
use stop::{Stop, join};

use crate::clock::Clock;
use file::Watched;
use readers::Readers;

/// From one look at `feeds.toml` to the next.
const FILE_LOOK: Duration = Duration::from_secs(1);

/// The feeds of a data folder.
#[derive(Debug)]
pub(crate) struct Feeding {
    desks: Arc<Desks>,
    stop: Arc<Stop>,
    thread: std::sync::Mutex<Option<JoinHandle<()>>>,
}

impl Feeding {
    /// Begins to read what the `feeds.toml` of that folder names, now and after each change.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub(crate) fn start(data_dir: &Path, clock: &Clock) -> std::io::Result<Self> {
        let path = data_dir.join(feeds::FILE);
        let desks = Arc::new(Desks::new(path.clone(), clock.clone()));
        let stop = Arc::new(Stop::default());
        let (of_thread, told) = (Arc::clone(&desks), Arc::clone(&stop));
        let thread = thread::Builder::new()
            .name("feeds".to_owned())
            .spawn(move || watch(path, &of_thread, &told))?;
        Ok(Self { desks, stop, thread: std::sync::Mutex::new(Some(thread)) })
    }

    /// What was heard.
    pub(crate) const fn desks(&self) -> &Arc<Desks> {
        &self.desks
    }

    /// Stops reading; waits for a second at most.
    pub(crate) fn stop(&self) {
        self.stop.tell();
        let thread = self.thread.lock().unwrap_or_else(std::sync::PoisonError::into_inner).take();
        join(thread);
    }
}

impl Drop for Feeding {
    fn drop(&mut self) {
        self.stop.tell();
    }
}

/// The life of the thread that minds the file.
fn watch(path: PathBuf, desks: &Arc<Desks>, stop: &Stop) {
    let mut watched = Watched::new(path);
    let mut readers = Readers::default();
    loop {
        match watched.look() {
            None => {}
            Some(Ok(feeds)) => readers.change_to(desks.begin(feeds), desks),
            Some(Err(error)) => {
                tracing::warn!("{error}");
                desks.refuse(error);
            }
        }
        if stop.wait(FILE_LOOK) {
            readers.stop();
            return;
        }
    }
}
