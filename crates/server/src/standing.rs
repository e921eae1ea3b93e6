//! How the person's own record stands: whole, with a loss that nobody has said is known, changed by
//! somebody else, or not written at all. Its chains are gone through once beside everything else.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use store::{Loss, Store, StoreError};

use crate::keeper::Keeper;
use crate::wire::standing::{HeadWire, LossWire, RecordWire, StandsWire};

/// Most looks at whether the going through is over, when the program stops, and the time between.
const LOOKS_MAX: u32 = 200;
const LOOK: Duration = Duration::from_millis(10);

/// What going through the chains found; nothing while it is not over.
type Found = Arc<OnceLock<Result<(), String>>>;

/// The going through, and what it found.
#[derive(Debug)]
pub(crate) struct Standing {
    path: PathBuf,
    found: Mutex<Found>,
    thread: Mutex<Option<JoinHandle<()>>>,
}

impl Standing {
    /// Begins to go through the chains of a record.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub(crate) fn of(keeper: &Keeper) -> std::io::Result<Self> {
        let path = keeper.reader().path().to_owned();
        let standing = Self { path, found: Mutex::default(), thread: Mutex::default() };
        standing.go_through()?;
        Ok(standing)
    }

    /// Goes through the chains again.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub(crate) fn go_through(&self) -> std::io::Result<()> {
        // What was found before is not so any more.
        let (path, found) = (self.path.clone(), Found::default());
        *self.found.lock().unwrap_or_else(PoisonError::into_inner) = Arc::clone(&found);
        let begun = thread::Builder::new().name("verify".to_owned()).spawn(move || {
            // Only this thread has it to fill.
            let _ = found.set(verify(&path));
        })?;
        *self.thread.lock().unwrap_or_else(PoisonError::into_inner) = Some(begun);
        Ok(())
    }

    /// Waits until nothing goes through the record any more; two seconds at most.
    pub(crate) fn stop(&self) {
        let thread = self.thread.lock().unwrap_or_else(PoisonError::into_inner).take();
        let Some(thread) = thread else { return };
        for _ in 0..LOOKS_MAX {
            if thread.is_finished() {
                return;
            }
            thread::sleep(LOOK);
        }
    }

    /// What going through the chains found to be wrong.
    fn changed(&self) -> Option<String> {
        let found = self.found.lock().unwrap_or_else(PoisonError::into_inner);
        found.get().and_then(|found| found.as_ref().err().cloned())
    }

    /// How the record stands now.
    ///
    /// # Errors
    /// Where it cannot be read.
    pub(crate) fn wire(&self, store: &Store, example: &Store) -> Result<RecordWire, StoreError> {
        store.look_again();
        let losses = store.losses()?;
        let head = store.head()?;
        let new: Vec<&Loss> = losses.iter().filter(|loss| loss.accepted.is_none()).collect();
        let (stands, words, hint) = if let Some(trouble) = store.trouble() {
            (StandsWire::Unrecorded, Some(trouble.what), Some(trouble.hint))
        } else if let Some(loss) = new.first() {
            let more = match new.len() - 1 {
                0 => String::new(),
                more => format!("; and {more} more"),
            };
            let hint = "Write down again what you know of it, then say that the loss is known. A \
                        backup goes back with `middlecut restore FILE`.";
            (StandsWire::Lost, Some(format!("{loss}{more}")), Some(hint.to_owned()))
        } else if let Some(what) = self.changed() {
            let hint = "Somebody else wrote into the file. A backup goes back with `middlecut \
                        restore FILE`.";
            (StandsWire::Changed, Some(what), Some(hint.to_owned()))
        } else {
            (StandsWire::Whole, None, None)
        };
        Ok(RecordWire {
            stands,
            words,
            hint,
            losses: losses.iter().map(LossWire::from).collect(),
            kept: store.kept_files(),
            head: HeadWire::from(head),
            backup: None,
            example: example.trouble().map(|trouble| trouble.what),
        })
    }
}

/// Goes through a record by a connection of its own, so that nobody waits for it.
fn verify(path: &Path) -> Result<(), String> {
    match Store::open_file_read_only(path) {
        Ok(store) => store.verify().map(drop).map_err(|failure| failure.to_string()),
        // What cannot be opened is said by what tried to write.
        Err(_) => Ok(()),
    }
}
