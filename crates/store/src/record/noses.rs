//! What noses said of the jars of a run, round by round, as the log of the house has it.

use super::entry::Entry;
use super::open::Store;
use super::project::RunState;
use super::run_id::{EntryNumber, RunId};
use super::tended::{Nosed, Tended};
use crate::error::StoreError;

impl Store {
    /// What noses said of the jars of a run: when it was written, and the words, the oldest first.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] for a damaged or newer entry.
    pub fn noses(&self, run: &RunId) -> Result<Vec<(i64, Nosed)>, StoreError> {
        let mut all = Vec::new();
        self.for_each_of_house(&["nosed"], |logged| {
            if let Entry::Tended(tended) = logged.entry
                && let Tended::Nosed(nosed) = *tended
                && nosed.run == *run
            {
                all.push((logged.stored_ms, nosed));
            }
            Ok(())
        })?;
        Ok(all)
    }

    /// Keeps what noses said of the jars of a run.
    ///
    /// # Errors
    /// [`StoreError::NoRun`]; [`StoreError::Entry`] for a jar that is none of the run's; else as
    /// [`Store::append`].
    pub fn keep_noses(&self, nosed: Nosed, now_ms: i64) -> Result<EntryNumber, StoreError> {
        let state = self.run(&nosed.run)?;
        let missing = |jar: u32| state.rows.jars.iter().all(|record| record.number != jar);
        if let Some(one) = nosed.jars.iter().find(|one| missing(one.jar)) {
            let bound = "must be a jar that is recorded in this run";
            return Err(StoreError::Entry { field: "jar", value: one.jar.to_string(), bound });
        }
        self.tend(Tended::Nosed(nosed), now_ms)
    }

    /// Puts the last words of noses on the jars of a run: they are what holds of its smell.
    pub(super) fn put_noses(&self, state: &mut RunState) -> Result<(), StoreError> {
        if state.rows.jars.is_empty() {
            return Ok(());
        }
        for (_, nosed) in self.noses(&state.summary.id)? {
            for one in nosed.jars.iter().filter(|one| !one.words.is_empty()) {
                let of = state.rows.jars.iter_mut().filter(|record| record.number == one.jar);
                of.for_each(|record| record.note.clone_from(&one.words));
            }
        }
        Ok(())
    }
}
