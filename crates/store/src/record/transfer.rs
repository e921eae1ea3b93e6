//! Runs out of and into the record as folders.

use std::path::Path;

use super::append;
use super::entry::Entry;
use super::new_run::{NewRun, RunMode};
use super::open::Store;
use super::project::{RunState, RunSummary};
use super::run_id::RunId;
use crate::error::StoreError;
use crate::folder::{self, Origin, RunFolder};
use crate::time;

/// Rows of readings in one entry of an imported run.
const READINGS_PER_ENTRY: usize = 1000;

impl RunState {
    /// The run as a folder holds it: rows in the order of time, the latest record of each jar, a
    /// real run's true start, the name it goes by, and where it comes from.
    #[must_use]
    pub fn folder(&self) -> RunFolder {
        let mut plan = self.plan.clone();
        plan.title.clone_from(&self.summary.title);
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
        let (outcome, instruments) = (self.outcome.clone(), self.instruments.clone());
        let mut folder = RunFolder { outcome, instruments, ..RunFolder::new(plan, rows) };
        // A plan that was checked when it was stored has a text; without one there is no file.
        let digest = folder::digest(&folder).unwrap_or_default();
        folder.origin = Some(self.origin(digest));
        folder
    }

    fn origin(&self, digest: String) -> Origin {
        let (own, id) = (self.summary.origin.as_ref(), self.summary.id.as_str());
        let seed = match self.summary.mode {
            RunMode::Rehearsal { seed, .. } => Some(seed),
            RunMode::Real | RunMode::Imported => own.and_then(|origin| origin.seed),
        };
        let run = own.and_then(|origin| origin.run.as_deref()).unwrap_or(id).to_owned();
        Origin { run: Some(run), rehearsed: self.summary.rehearsed(), seed, digest }
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
    /// [`StoreError::AlreadyThere`] naming the run that is the same, [`StoreError::Altered`] for a
    /// folder whose tables are not those it was written with; else as [`Store::append`].
    pub fn import_folder(&self, run: RunFolder, now_ms: i64) -> Result<RunId, StoreError> {
        let digest = folder::digest(&run)?;
        if run.origin.as_ref().is_some_and(|origin| origin.digest != digest) {
            return Err(StoreError::Altered);
        }
        self.must_be_new(&digest, run.origin.as_ref())?;
        let origin = Origin { digest, ..run.origin.unwrap_or_default() };
        let started_ms = time::parse_start(&run.plan.start).map_or(now_ms, |(start, _)| start);
        let entries = imported(run.rows, run.outcome, started_ms);
        let new =
            NewRun { origin: Some(origin), ..NewRun::new(run.plan, RunMode::Imported, false) };
        let last = self.writing(|transaction| {
            let id = RunId(append::open_run(transaction, &new, now_ms)?.run);
            append::add(transaction, &id, &entries, now_ms)
        })?;
        Ok(RunId(last.run))
    }

    /// Refuses a run that was imported before, or was written from this record and stands there
    /// unchanged.
    fn must_be_new(&self, digest: &str, origin: Option<&Origin>) -> Result<(), StoreError> {
        let there = |summary: &RunSummary| StoreError::AlreadyThere {
            run: summary.id.to_string(),
            title: summary.title.clone(),
        };
        for summary in self.runs(false)? {
            if summary.origin.as_ref().is_some_and(|origin| origin.digest == digest) {
                return Err(there(&summary));
            }
            if origin.is_some_and(|origin| origin.run.as_deref() == Some(summary.id.as_str())) {
                let state = self.run(&summary.id)?;
                if folder::digest(&state.folder())? == digest {
                    return Err(there(&summary));
                }
            }
        }
        Ok(())
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
    let mut entries = vec![(started_ms, Entry::Started { started_ms, steady: None })];
    for chunk in rows.readings.chunks(READINGS_PER_ENTRY) {
        let last_s = chunk.last().map_or(0.0, |row| row.0);
        entries.push((at(last_s), Entry::Readings(chunk.to_vec())));
    }
    entries.extend(rows.actions.into_iter().map(|(t, action)| (at(t), Entry::Action(t, action))));
    entries.extend(rows.jars.into_iter().map(|jar| (at(jar.end_s), Entry::Jar(jar))));
    entries.extend(outcome.map(|value| (started_ms, Entry::Outcome(value))));
    entries
}
