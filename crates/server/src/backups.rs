//! Why the last nightly backup failed, for every page.

use std::sync::{Mutex, PoisonError};

/// Why the last backup failed; nothing where it did not.
#[derive(Debug, Default)]
pub(crate) struct Backups(Mutex<Option<String>>);

impl Backups {
    /// In words.
    pub(crate) fn trouble(&self) -> Option<String> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Puts how the last one went.
    pub(crate) fn put(&self, trouble: Option<String>) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = trouble;
    }
}
