//! A thread of its own for what is slow: one job at a time, its result fetched when it is there.

use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::thread;
use std::time::Duration;

/// A slow, pure piece of work.
type Job<R> = Box<dyn FnOnce() -> R + Send>;

/// The thread and the way to it. It ends when this is dropped and its last job is done.
#[derive(Debug)]
pub(crate) struct Worker<R> {
    jobs: SyncSender<Job<R>>,
    results: Receiver<R>,
    busy: bool,
    gone: bool,
}

impl<R: Send + 'static> Worker<R> {
    /// A thread of that name.
    ///
    /// # Errors
    /// Where the system gives none.
    pub(crate) fn start(name: String) -> std::io::Result<Self> {
        let (jobs, given) = sync_channel::<Job<R>>(1);
        let (done, results) = sync_channel(1);
        thread::Builder::new().name(name).spawn(move || {
            for job in given {
                // Nobody fetches it any more: the work ends here.
                if done.send(job()).is_err() {
                    return;
                }
            }
        })?;
        Ok(Self { jobs, results, busy: false, gone: false })
    }

    /// Whether it can take a job.
    pub(crate) const fn is_idle(&self) -> bool {
        !self.busy && !self.gone
    }

    /// Whether its thread broke down with a job: nothing more comes from it.
    pub(crate) const fn is_gone(&self) -> bool {
        self.gone
    }

    /// Gives it a job; one that is busy takes none and says so.
    pub(crate) fn give(&mut self, job: impl FnOnce() -> R + Send + 'static) -> bool {
        if !self.is_idle() {
            return false;
        }
        self.gone = self.jobs.try_send(Box::new(job)).is_err();
        self.busy = !self.gone;
        self.busy
    }

    /// The result of its job, where it comes within that time.
    pub(crate) fn fetch(&mut self, at_most: Duration) -> Option<R> {
        if !self.busy {
            return None;
        }
        match self.results.recv_timeout(at_most) {
            Ok(result) => {
                self.busy = false;
                Some(result)
            }
            Err(RecvTimeoutError::Timeout) => None,
            Err(RecvTimeoutError::Disconnected) => {
                (self.busy, self.gone) = (false, true);
                None
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::mpsc::channel;
    use std::time::Duration;

    use super::Worker;

    const SOON: Duration = Duration::from_secs(10);

    #[test]
    fn one_job_at_a_time_and_nobody_waits_for_it() {
        let mut worker = Worker::start("test".to_owned()).unwrap();
        let (go, gate) = channel::<u32>();
        assert!(worker.is_idle() && worker.fetch(SOON).is_none());
        assert!(worker.give(move || gate.recv().unwrap()));
        assert_eq!(worker.fetch(Duration::ZERO), None);
        assert!(!worker.is_idle() && !worker.give(|| 9), "it is busy");
        go.send(7).unwrap();
        assert_eq!(worker.fetch(SOON), Some(7));
        assert!(worker.give(|| 8));
        assert_eq!(worker.fetch(SOON), Some(8));
    }

    #[test]
    fn a_job_that_breaks_down_is_noticed_and_holds_nobody_up() {
        let mut worker: Worker<u32> = Worker::start("test".to_owned()).unwrap();
        assert!(worker.give(|| panic!("a job that breaks down, on purpose")));
        assert_eq!(worker.fetch(SOON), None);
        assert!(worker.is_gone() && !worker.is_idle() && !worker.give(|| 1));
    }
}
