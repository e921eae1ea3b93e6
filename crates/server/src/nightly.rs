//! A backup of the record every night: at a time of day, so many kept; one that fails is said on
//! every page until one succeeds.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use store::time::format_start;
use store::{Store, StoreError};

use crate::app::App;
use crate::clock::zone_offset_minutes;

/// From one look at the clock to the next: it can be set, and the computer can sleep.
const LOOK: Duration = Duration::from_secs(30);
/// Looks that are left out after a failure; judgement: a quarter of an hour.
const LOOKS_AFTER_FAILURE: u32 = 30;
const MINUTE_MS: i64 = 60_000;
/// What a backup is called, before and behind its date.
const NAME: (&str, &str) = ("middlecut-", ".sqlite");
/// Letters of a date.
const DATE: usize = 10;

/// When, how many, where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Nightly {
    /// Minutes after midnight, by the clock of this computer.
    pub at_minutes: u16,
    /// How many are kept; the oldest goes first.
    pub keep: usize,
    /// In which folder; made where it is missing.
    pub folder: PathBuf,
}

/// Backs up night after night until the program stops.
pub(crate) async fn keep(app: Arc<App>, nightly: Nightly) {
    let mut stopping = app.stopping.clone();
    let mut left_out = 0_u32;
    while !*stopping.borrow() {
        let file = nightly.file(app.clock.now_ms());
        if left_out > 0 {
            left_out -= 1;
        } else if !file.exists() {
            let (of, into) = (nightly.clone(), file.clone());
            let done = app.own.read(move |store| of.back_up(store, &into)).await;
            if let Err(error) = &done {
                tracing::error!("the nightly backup failed: {}: {error}", file.display());
                left_out = LOOKS_AFTER_FAILURE;
            }
            let words = |error| format!("the backup {} was not made: {error}", file.display());
            app.backups.put(done.err().map(words));
        }
        tokio::select! {
            _ = stopping.changed() => break,
            () = tokio::time::sleep(LOOK) => {}
        }
    }
}

impl Nightly {
    /// The file of the night that is due at a moment: of today from the time of day on, before it
    /// of yesterday.
    fn file(&self, now_ms: i64) -> PathBuf {
        let due_ms = now_ms - i64::from(self.at_minutes) * MINUTE_MS;
        let date = format_start(due_ms, zone_offset_minutes(now_ms)).unwrap_or_default();
        let date: String = date.chars().take(DATE).collect();
        self.folder.join([NAME.0, &date, NAME.1].concat())
    }

    /// Copies the record, proves the copy, lets the oldest go.
    fn back_up(&self, store: &Store, file: &Path) -> Result<(), StoreError> {
        fs::create_dir_all(&self.folder).map_err(|error| StoreError::io(&self.folder, error))?;
        store.backup(file)?;
        Store::open_file_read_only(file)?.verify()?;
        self.let_go().map_err(|error| StoreError::io(&self.folder, error))
    }

    /// Removes the oldest of its own files beyond those that are kept; others are not touched.
    fn let_go(&self) -> std::io::Result<()> {
        let mut own: Vec<String> = fs::read_dir(&self.folder)?
            .filter_map(|one| one.ok()?.file_name().into_string().ok())
            .filter(|name| is_own(name))
            .collect();
        own.sort();
        let surplus = own.len().saturating_sub(self.keep.max(1));
        own.iter().take(surplus).try_for_each(|name| fs::remove_file(self.folder.join(name)))
    }
}

/// Whether a file is one of these backups, by its whole name.
fn is_own(name: &str) -> bool {
    let date = name.strip_prefix(NAME.0).and_then(|rest| rest.strip_suffix(NAME.1));
    date.is_some_and(|date| {
        date.len() == DATE
            && date.bytes().enumerate().all(|(place, byte)| match place {
                4 | 7 => byte == b'-',
                _ => byte.is_ascii_digit(),
            })
    })
}

#[cfg(test)]
mod tests {
    use super::{Nightly, is_own};
    use store::{Store, StoreError};

    #[test]
    fn a_night_has_one_backup_the_oldest_go_and_a_failure_is_an_error() {
        let room = tempfile::tempdir().unwrap();
        let store = Store::open(&room.path().join("data")).unwrap();
        let nightly = Nightly { at_minutes: 180, keep: 2, folder: room.path().join("kept") };
        let day_ms = 86_400_000;
        let nights: Vec<_> = (1..=3).map(|night| nightly.file(night * day_ms)).collect();
        assert_eq!(nightly.file(day_ms + 60_000), nights[0], "a minute later it is the same night");
        for file in &nights {
            nightly.back_up(&store, file).unwrap();
            std::fs::write(nightly.folder.join("middlecut-mine.sqlite"), "x").unwrap();
        }
        let there: Vec<bool> = nights.iter().map(|file| file.exists()).collect();
        assert_eq!(there, [false, true, true]);
        assert!(nightly.folder.join("middlecut-mine.sqlite").exists(), "others are not touched");
        assert!(matches!(nightly.back_up(&store, &nights[2]), Err(StoreError::Io { .. })));
        assert!(is_own("middlecut-2026-11-30.sqlite") && !is_own("middlecut-2026-1-30x.sqlite"));
    }
}
