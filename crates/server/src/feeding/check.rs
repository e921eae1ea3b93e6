//! A trial of the feeds without a run: reads the file, opens the sources for a while, says what came.

use std::path::Path;
use std::sync::Arc;
use std::thread;
use std::time::Duration;

use feeds::{FeedsError, FeedsOf, Say};

use super::desks::Desks;
use super::file;
use super::readers::Readers;
use crate::clock::Clock;

/// What came in that time.
#[derive(Debug, Clone)]
pub struct CheckedFeeds {
    /// Still by still, then wash by wash.
    pub stills: Vec<CheckedStill>,
}

/// What came at one still, or in one wash.
#[derive(Debug, Clone)]
pub struct CheckedStill {
    /// What the file says of it.
    pub still: FeedsOf,
    /// Every value.
    pub says: Vec<Say>,
}

/// Reads the `feeds.toml` of a data folder and then its sources for so long; stores nothing.
///
/// # Errors
/// [`FeedsError`] where the file is not there or is refused.
pub fn check_feeds(data_dir: &Path, time: Duration) -> Result<CheckedFeeds, FeedsError> {
    let path = data_dir.join(feeds::FILE);
    let feeds = file::read(&path)?.ok_or_else(|| FeedsError::unreadable(&path, "is not there"))?;
    let desks = Arc::new(Desks::new(path, Clock::default()));
    let mut readers = Readers::default();
    readers.change_to(desks.begin(feeds), &desks);
    thread::sleep(time);
    let view = desks.view();
    readers.stop();
    let stills = view.stills.into_iter();
    let stills = stills.map(|at| CheckedStill { still: at.still, says: at.says }).collect();
    Ok(CheckedFeeds { stills })
}
