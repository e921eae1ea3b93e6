//! Reads entries back.

use rusqlite::params;

use super::entry::{Entry, Logged, OwnStillRecord};
use super::open::Store;
use super::run_id::{EntryNumber, RunId};
use crate::error::StoreError;

/// Most entries given back at once.
const PAGE_MAX: i64 = 100_000;

impl Store {
    /// Entries of a run after `after` (0 = from the first), at most `limit` (and 100 000).
    ///
    /// # Errors
    /// [`StoreError::NoRun`], [`StoreError::Unreadable`] for a damaged or newer entry.
    pub fn entries(
        &self,
        run: &RunId,
        after: EntryNumber,
        limit: usize,
    ) -> Result<Vec<Logged>, StoreError> {
        let query = "SELECT number, measured_ms, stored_ms, kind, payload_version, payload \
                     FROM entry WHERE run_id = $1 AND number > $2 ORDER BY number LIMIT $3";
        self.page(run, query, after, limit)
    }

    /// Entries of a run before `before`, the newest first, at most `limit` (and 100 000).
    ///
    /// # Errors
    /// As [`Store::entries`].
    pub fn entries_before(
        &self,
        run: &RunId,
        before: EntryNumber,
        limit: usize,
    ) -> Result<Vec<Logged>, StoreError> {
        let query = "SELECT number, measured_ms, stored_ms, kind, payload_version, payload \
                     FROM entry WHERE run_id = $1 AND number < $2 ORDER BY number DESC LIMIT $3";
        self.page(run, query, before, limit)
    }

    /// What was taken back, corrected or begun as one act in a run, in the order of entries.
    ///
    /// # Errors
    /// As [`Store::entries`].
    pub fn amendments(&self, run: &RunId) -> Result<Vec<Logged>, StoreError> {
        let mut found = Vec::new();
        self.for_each_of(run, &["withdrawn", "corrected", "begun", "by", "units"], |logged| {
            found.push(logged);
            Ok(())
        })?;
        Ok(found)
    }

    fn page(
        &self,
        run: &RunId,
        query: &str,
        from: EntryNumber,
        limit: usize,
    ) -> Result<Vec<Logged>, StoreError> {
        self.length(run)?;
        let limit = i64::try_from(limit).unwrap_or(PAGE_MAX).min(PAGE_MAX);
        let connection = self.reader();
        let mut statement = connection.prepare_cached(query)?;
        let mut rows = statement.query(params![run.as_str(), from, limit])?;
        let mut entries = Vec::new();
        while let Some(row) = rows.next()? {
            let number = row.get(0)?;
            let (kind, payload): (String, String) = (row.get(3)?, row.get(5)?);
            let entry = Entry::from_payload(&kind, row.get(4)?, &payload).map_err(|what| {
                StoreError::Unreadable { run: run.to_string(), entry: number, what }
            })?;
            let (measured_ms, stored_ms) = (row.get(1)?, row.get(2)?);
            entries.push(Logged { number, measured_ms, stored_ms, entry });
        }
        Ok(entries)
    }

    /// How many entries a run has: the number of the last.
    ///
    /// # Errors
    /// [`StoreError::NoRun`].
    pub fn length(&self, run: &RunId) -> Result<EntryNumber, StoreError> {
        let connection = self.reader();
        let mut statement =
            connection.prepare_cached("SELECT entries FROM head WHERE run_id = $1")?;
        let mut rows = statement.query([run.as_str()])?;
        match rows.next()? {
            Some(row) => Ok(row.get(0)?),
            None => Err(StoreError::NoRun { run: crate::rows::shown(run.as_str()) }),
        }
    }

    /// All entries of one run, page by page.
    pub(super) fn for_each_entry(
        &self,
        run: &RunId,
        use_entry: impl FnMut(Logged) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        self.for_each_entry_after(run, 0, use_entry)
    }

    /// The entries of one run after a number, page by page.
    pub(super) fn for_each_entry_after(
        &self,
        run: &RunId,
        mut after: EntryNumber,
        mut use_entry: impl FnMut(Logged) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        const PAGE: usize = 1000;
        loop {
            let page = self.entries(run, after, PAGE)?;
            let Some(last) = page.last() else { return Ok(()) };
            after = last.number;
            page.into_iter().try_for_each(&mut use_entry)?;
        }
    }

    /// The entries of some kinds of one run; few by nature.
    pub(super) fn for_each_of(
        &self,
        run: &RunId,
        kinds: &[&str],
        mut use_entry: impl FnMut(Logged) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        let mut found = Vec::new();
        {
            let connection = self.reader();
            let mut statement = connection
                .prepare_cached("SELECT number FROM entry WHERE run_id = $1 AND kind = $2")?;
            for kind in kinds {
                let rows = statement.query_map(params![run.as_str(), kind], |row| row.get(0))?;
                found.extend(rows.collect::<Result<Vec<EntryNumber>, _>>()?);
            }
        }
        found.sort_unstable();
        for number in found {
            self.entries(run, number - 1, 1)?.into_iter().try_for_each(&mut use_entry)?;
        }
        Ok(())
    }

    /// The owner's still as last written down.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] for a damaged or newer entry.
    pub fn own_still(&self) -> Result<Option<OwnStillRecord>, StoreError> {
        let mut own = None;
        self.for_each_of_house(&["own_still"], |logged| {
            if let Entry::OwnStill(found) = logged.entry {
                own = Some(*found);
            }
            Ok(())
        })?;
        Ok(own)
    }

    /// The entries of some kinds in the log of the house, where there is one.
    pub(super) fn for_each_of_house(
        &self,
        kinds: &[&str],
        use_entry: impl FnMut(Logged) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        let house = RunId::new(RunId::HOUSE);
        match self.length(&house) {
            Ok(_) => self.for_each_of(&house, kinds, use_entry),
            Err(StoreError::NoRun { .. }) => Ok(()),
            Err(error) => Err(error),
        }
    }
}
