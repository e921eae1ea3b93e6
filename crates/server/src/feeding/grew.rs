//! Ends a wait for a file as soon as the system says that it grew.
//!
//! Where the system does not say (another system than Linux, a file on another computer), the wait
//! ends when it is over: the looks go on as they are asked for.

use std::time::{Duration, Instant};

use super::line::Line;

/// Least time from one look to the next, however fast a file grows (judgement: a look costs some
/// 0.02 ms, so that one file never takes more than a thousandth of a core).
const LOOK_LEAST: Duration = Duration::from_millis(20);

/// What tells of one file.
#[derive(Debug, Default)]
pub(super) struct Grew {
    #[cfg(target_os = "linux")]
    watch: Option<linux::Watch>,
}

impl Grew {
    /// Watches the file of that path from here on; one that is not there is looked for at the next
    /// look.
    #[cfg(target_os = "linux")]
    pub(super) fn watch(&mut self, path: &str) {
        if self.watch.is_none() {
            self.watch = linux::Watch::new();
        }
        if let Some(watch) = &mut self.watch {
            watch.turn_to(path);
        }
    }

    /// See [`Self::wait`]: nothing tells here.
    #[cfg(not(target_os = "linux"))]
    pub(super) const fn watch(&mut self, _: &str) {}

    /// Waits so long, or until the file grew; gives whether to stop.
    #[cfg(target_os = "linux")]
    pub(super) fn wait(&self, longest: Duration, line: &Line) -> bool {
        let Some(watch) = &self.watch else { return line.wait(longest) };
        let until = Instant::now() + longest;
        if line.wait(longest.min(LOOK_LEAST)) {
            return true;
        }
        loop {
            let left = until.saturating_duration_since(Instant::now());
            if left.is_zero() {
                return line.is_over();
            }
            match watch.has_grown_in(left.min(linux::STOP_LOOK)) {
                Some(false) if line.is_over() => return true,
                Some(false) => {}
                Some(true) => return line.is_over(),
                None => return line.wait(left),
            }
        }
    }

    /// Waits so long; gives whether to stop.
    #[cfg(not(target_os = "linux"))]
    pub(super) fn wait(&self, longest: Duration, line: &Line) -> bool {
        line.wait(longest)
    }
}

#[cfg(target_os = "linux")]
mod linux {
    use std::os::fd::OwnedFd;
    use std::time::Duration;

    use rustix::event::{PollFd, PollFlags, Timespec, poll};
    use rustix::fs::inotify::{self, CreateFlags, WatchFlags};

    /// Time between two looks at whether to stop.
    pub(super) const STOP_LOOK: Duration = Duration::from_millis(200);
    /// Bytes of news that are read at once: a few dozen pieces, each of which says the same.
    const NEWS_BYTES: usize = 1024;
    /// Most reads of news after one wait: what is more says the same again.
    const READS_MAX: usize = 64;

    /// What the system tells of one file.
    #[derive(Debug)]
    pub(super) struct Watch {
        told: OwnedFd,
        /// The file that is watched, as the system counts them.
        file: Option<i32>,
    }

    impl Watch {
        pub(super) fn new() -> Option<Self> {
            let told = inotify::init(CreateFlags::NONBLOCK | CreateFlags::CLOEXEC).ok()?;
            Some(Self { told, file: None })
        }

        /// Watches what lies at that path now: another file may have taken its place.
        pub(super) fn turn_to(&mut self, path: &str) {
            let flags = WatchFlags::MODIFY | WatchFlags::MOVE_SELF | WatchFlags::DELETE_SELF;
            let file = inotify::add_watch(&self.told, path, flags).ok();
            if let Some(before) = self.file.filter(|before| Some(*before) != file) {
                // One that is gone was let go of by the system.
                let _ = inotify::remove_watch(&self.told, before);
            }
            self.file = file;
        }

        /// Whether something changed within that time; none where the system does not say.
        pub(super) fn has_grown_in(&self, longest: Duration) -> Option<bool> {
            let longest = Timespec::try_from(longest).ok()?;
            let mut asked = [PollFd::new(&self.told, PollFlags::IN)];
            match poll(&mut asked, Some(&longest)) {
                Ok(0) | Err(rustix::io::Errno::INTR) => return Some(false),
                Ok(_) => {}
                Err(_) => return None,
            }
            let mut news = [0; NEWS_BYTES];
            for _ in 0..READS_MAX {
                if rustix::io::read(&self.told, &mut news).is_err() {
                    break;
                }
            }
            Some(true)
        }
    }
}
