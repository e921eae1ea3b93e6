//! A store with one thread that writes, a bounded queue before it, and reading apart from it:
//! an answer to a write means that what was written is on the disk.

use std::sync::Arc;
use std::sync::mpsc::{SyncSender, TrySendError, sync_channel};
use std::thread;
use std::time::Duration;

use store::{Store, StoreError};
use tokio::sync::oneshot;

use crate::problem::ApiError;

/// Most writes that wait; one more is refused as busy.
const JOBS_MAX: usize = 256;

/// Most looks at whether the store can be closed.
const CLOSE_LOOKS_MAX: u32 = 200;
/// Time between two of them.
const CLOSE_LOOK: Duration = Duration::from_millis(10);

type Job = Box<dyn FnOnce(&Store) + Send>;

/// A handle on a store. Its writing thread ends when the last handle is gone.
#[derive(Debug, Clone)]
pub(crate) struct Keeper {
    writes: SyncSender<Job>,
    store: Arc<Store>,
}

impl Keeper {
    /// Gives the store a thread that writes.
    ///
    /// # Errors
    /// Where the system gives no thread.
    pub(crate) fn start(store: Store) -> std::io::Result<Self> {
        let store = Arc::new(store);
        let writer = Arc::clone(&store);
        let (writes, jobs) = sync_channel::<Job>(JOBS_MAX);
        thread::Builder::new().name("store".to_owned()).spawn(move || {
            for job in jobs {
                job(&writer);
            }
        })?;
        Ok(Self { writes, store })
    }

    /// Writes, from a thread that may wait.
    ///
    /// # Errors
    /// What the store refuses; [`ApiError::Inside`] where the writing thread is gone.
    pub(crate) fn write_and_wait<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Store) -> Result<T, StoreError> + Send + 'static,
    ) -> Result<T, ApiError> {
        let (answer, answered) = sync_channel(1);
        let job = Box::new(move |store: &Store| {
            // Nobody waits any more: nothing to tell.
            let _ = answer.send(work(store));
        });
        self.writes.send(job).map_err(|_| gone())?;
        Ok(answered.recv().map_err(|_| gone())??)
    }

    /// Writes, from a task that must not block.
    ///
    /// # Errors
    /// What the store refuses; [`ApiError::Busy`] where the queue is full.
    pub(crate) async fn write<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Store) -> Result<T, StoreError> + Send + 'static,
    ) -> Result<T, ApiError> {
        let (answer, answered) = oneshot::channel();
        let job = Box::new(move |store: &Store| {
            // Nobody waits any more: nothing to tell.
            let _ = answer.send(work(store));
        });
        self.writes.try_send(job).map_err(|error| match error {
            TrySendError::Full(_) => ApiError::Busy,
            TrySendError::Disconnected(_) => gone(),
        })?;
        Ok(answered.await.map_err(|_| gone())??)
    }

    /// Reads, on a thread that may wait, beside whatever is being written.
    ///
    /// # Errors
    /// What the store refuses.
    pub(crate) async fn read<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Store) -> Result<T, StoreError> + Send + 'static,
    ) -> Result<T, ApiError> {
        let store = Arc::clone(&self.store);
        let read = tokio::task::spawn_blocking(move || work(&store)).await;
        Ok(read.map_err(|error| ApiError::Inside { what: format!("store: {error}") })??)
    }

    /// Waits until nothing writes or reads any more and the store is closed; two seconds at most.
    pub(crate) fn close(self) {
        let Self { writes, store } = self;
        drop(writes);
        for _ in 0..CLOSE_LOOKS_MAX {
            if Arc::strong_count(&store) == 1 {
                return;
            }
            thread::sleep(CLOSE_LOOK);
        }
        tracing::warn!("{}: still in use when the program stopped", store.path().display());
    }

    /// The store, for a thread that may wait; for reading only.
    pub(crate) fn reader(&self) -> &Store {
        &self.store
    }
}

fn gone() -> ApiError {
    ApiError::Inside { what: "the store's writing thread is gone".to_owned() }
}
