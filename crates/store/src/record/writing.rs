//! Writes one act, whole or not at all, and remembers why nothing is recorded where the disk refuses.

use std::sync::PoisonError;

use rusqlite::{Transaction, TransactionBehavior};

use super::failure::Trouble;
use super::open::Store;
use super::seal::Acknowledged;
use crate::error::StoreError;

impl Store {
    /// Writes what `work` adds, all or nothing; it is durable and sealed when this returns the last
    /// entry of it. Where another program has the file, it waits a while.
    pub(super) fn writing(
        &self,
        work: impl FnOnce(&Transaction<'_>) -> Result<Acknowledged, StoreError>,
    ) -> Result<Acknowledged, StoreError> {
        let written = self.write_through(work);
        match &written {
            Ok(_) if self.writer().is_some() => self.set_trouble(None),
            Err(error) if error.is_of_disk() && self.writer().is_some() => {
                self.set_trouble(Some(Trouble::from(error)));
            }
            _ => {}
        }
        written
    }

    /// Looks whether another program still holds the file, where it was the trouble.
    pub fn look_again(&self) {
        let busy = self.trouble().is_some_and(|trouble| trouble.code == StoreError::Busy.code());
        let Some(writer) = self.writer().filter(|_| busy) else { return };
        let mut connection = writer.connection.lock().unwrap_or_else(PoisonError::into_inner);
        // Begun and given back: nothing is written.
        if connection.transaction_with_behavior(TransactionBehavior::Immediate).is_ok() {
            self.set_trouble(None);
        }
    }

    fn write_through(
        &self,
        work: impl FnOnce(&Transaction<'_>) -> Result<Acknowledged, StoreError>,
    ) -> Result<Acknowledged, StoreError> {
        let Some(writer) = self.writer() else {
            return Err(self.trouble().map_or(StoreError::ReadOnly, StoreError::Unrecorded));
        };
        // A transaction that a panic cut short was rolled back when it was dropped.
        let mut connection = writer.connection.lock().unwrap_or_else(PoisonError::into_inner);
        // Whoever begins by reading and then writes is refused at once where another one writes.
        let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let last = work(&transaction)?;
        transaction.commit()?;
        // A seal that cannot be written takes nothing back: the entry is durable, only a later loss
        // of it would go unseen.
        drop(writer.seal.lock().unwrap_or_else(PoisonError::into_inner).note(&last));
        Ok(last)
    }
}
