//! Runs out of and into the record as folders; the whole record as a backup.

use std::path::Path;

use rusqlite::Connection;
use rusqlite::backup::Backup;

use super::append::{self, NewRun};
use super::entry::{Entry, RunId, RunMode};
use super::open::Store;
use super::project::RunState;
use crate::error::StoreError;
use crate::folder::{self, RunFolder};
use crate::time;

/// Rows of readings in one entry of an imported run.
const READINGS_PER_ENTRY: usize = 1000;
/// Pages copied at a time while others may write.
const BACKUP_PAGES: i32 = 1000;
/// Most rounds of copying; each start over costs one.
const BACKUP_ROUNDS_MAX: u32 = 1_000_000;

impl RunState {
    /// The run as a folder holds it: rows in the order of time, the latest record of each jar,
    /// and a real run's true start.
    #[must_use]
    pub fn folder(&self) -> RunFolder {
        let mut plan = self.plan.clone();
        if let (Some(started_ms), RunMode::Real) = (self.summary.started_ms, self.summary.mode) {
            let offset = time::parse_start(&plan.start).map_or(0, |(_, offset)| offset);
            if let Some(start) = time::format_start(started_ms, offset) {
                plan.start = start;
            }
        }
        let mut rows = self.rows.clone();
        rows.readings.sort_by(|a, b| a.0.total_cmp(&b.0));
        rows.actions.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut jars = std::mem::take(&mut rows.jars);
        for jar in std::mem::take(&mut jars) {
            match rows.jars.iter_mut().find(|earlier| earlier.number == jar.number) {
                Some(earlier) => *earlier = jar,
                None => rows.jars.push(jar),
            }
        }
        rows.jars.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
        RunFolder { plan, rows, outcome: self.outcome.clone() }
    }
}

impl Store {
    /// Writes a run as a folder.
    ///
    /// # Errors
    /// [`StoreError::NoRun`], [`StoreError::Folder`] where the folder is not empty or cannot be
    /// written.
    pub fn export(&self, run: &RunId, dir: &Path) -> Result<(), StoreError> {
        Ok(folder::write(dir, &self.run(run)?.folder())?)
    }

    /// Takes a run folder into the record, whole or not at all.
    ///
    /// # Errors
    /// [`StoreError::Folder`] for a folder that breaks the format; else as [`Store::append`].
    pub fn import(&self, dir: &Path, now_ms: i64) -> Result<RunId, StoreError> {
        self.import_folder(folder::read(dir)?, now_ms)
    }

    /// Takes a run already read into the record, whole or not at all.
    ///
    /// # Errors
    /// As [`Store::append`].
    pub fn import_folder(&self, run: RunFolder, now_ms: i64) -> Result<RunId, StoreError> {
        let started_ms = time::parse_start(&run.plan.start).map_or(now_ms, |(start, _)| start);
        let entries = imported(run.rows, run.outcome, started_ms);
        let new = NewRun::new(run.plan, RunMode::Imported, false);
        let mut connection = self.writer()?;
        let transaction = connection.transaction()?;
        let id = RunId(append::open_run(&transaction, &new, now_ms)?.run);
        let last = append::add(&transaction, &id, &entries, now_ms)?;
        self.commit(transaction, &last)?;
        Ok(id)
    }

    /// Copies the record into a new file, also while it is written.
    ///
    /// # Errors
    /// [`StoreError::Io`] where the file exists already or cannot be written.
    pub fn backup(&self, file: &Path) -> Result<(), StoreError> {
        // The name is taken first, so that nothing is written over.
        std::fs::File::create_new(file).map_err(|source| StoreError::io(file, source))?;
        let copied = self.copy_to(file);
        if copied.is_err() {
            // Half a backup would be worse than none; that it cannot be removed changes nothing.
            drop(std::fs::remove_file(file));
        }
        copied
    }

    fn copy_to(&self, file: &Path) -> Result<(), StoreError> {
        let source = self.reader();
        let mut copy = Connection::open(file)?;
        let backup = Backup::new(&source, &mut copy)?;
        for _ in 0..BACKUP_ROUNDS_MAX {
            match backup.step(BACKUP_PAGES)? {
                rusqlite::backup::StepResult::Done => break,
                rusqlite::backup::StepResult::More => {}
                _ => std::thread::sleep(std::time::Duration::from_millis(5)),
            }
        }
        drop(backup);
        // One plain file, without a log beside it.
        copy.pragma_update(None, "journal_mode", "DELETE")?;
        copy.close().map_err(|(_, error)| StoreError::from(error))?;
        let written = std::fs::File::open(file).and_then(|file| file.sync_all());
        written.map_err(|source| StoreError::io(file, source))
    }
}

/// The entries of an imported run with the times they were measured at.
fn imported(
    rows: sense::RecordedRun,
    outcome: Option<serde_json::Value>,
    started_ms: i64,
) -> Vec<(i64, Entry)> {
    let at = |time_s: f64| {
        #[expect(clippy::cast_possible_truncation, reason = "a run lasts at most a fortnight")]
        let elapsed_ms = (time_s * 1000.0).round() as i64;
        started_ms.saturating_add(elapsed_ms)
    };
    let mut entries = vec![(started_ms, Entry::Started { started_ms })];
    for chunk in rows.readings.chunks(READINGS_PER_ENTRY) {
        let last_s = chunk.last().map_or(0.0, |row| row.0);
        entries.push((at(last_s), Entry::Readings(chunk.to_vec())));
    }
    entries.extend(rows.actions.into_iter().map(|(t, action)| (at(t), Entry::Action(t, action))));
    entries.extend(rows.jars.into_iter().map(|jar| (at(jar.end_s), Entry::Jar(jar))));
    entries.extend(outcome.map(|value| (started_ms, Entry::Outcome(value))));
    entries
}
