//! Holds the record against a digest that was printed outside: a chain that was made again from the
//! start is then found.

use std::sync::PoisonError;

use super::open::Store;
use super::rolling::{RecordHead, Rolling};
use super::run_id::{EntryNumber, RunId};
use crate::error::StoreError;

/// Fewest digits of a digest that stand for it: half of them cannot be met by trying.
const EXPECTED_DIGITS_MIN: usize = 32;
/// Digits of a digest.
const DIGITS: usize = 64;

/// Where an expected digest was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Anchor {
    /// It is that of the record when it had so many entries.
    Record(i64),
    /// It is that of an entry of a run.
    Entry(String, EntryNumber),
}

impl Store {
    /// How much the record holds, and the digest over it. What was worked out before is not worked
    /// out again.
    ///
    /// # Errors
    /// Where the record cannot be read.
    pub fn head(&self) -> Result<RecordHead, StoreError> {
        let connection = self.reader();
        let mut rolling = self.rolling.lock().unwrap_or_else(PoisonError::into_inner);
        rolling.go_on(&connection, |_, _| false)?;
        Ok(RecordHead { entries: rolling.entries, digest: rolling.text() })
    }

    /// How many entries a run has, and the digest of the last.
    ///
    /// # Errors
    /// [`StoreError::NoRun`].
    pub fn run_head(&self, run: &RunId) -> Result<RecordHead, StoreError> {
        let entries = self.length(run)?;
        let connection = self.reader();
        let digest = connection
            .prepare_cached("SELECT digest FROM entry WHERE run_id = $1 AND number = $2")?
            .query_row(rusqlite::params![run.as_str(), entries], |row| row.get(0))?;
        Ok(RecordHead { entries, digest })
    }

    /// Where the record had that digest, given whole or by its first 32 digits or more: the digest
    /// of all of it at some moment, or that of one entry. None where it never had.
    ///
    /// # Errors
    /// [`StoreError::Entry`] for a text that is no digest.
    pub fn anchor(&self, expected: &str) -> Result<Option<Anchor>, StoreError> {
        let expected: String =
            expected.chars().filter(|sign| !sign.is_whitespace() && *sign != '-').collect();
        let expected = expected.to_ascii_lowercase();
        let digits = expected.chars().all(|sign| sign.is_ascii_hexdigit());
        if !digits || !(EXPECTED_DIGITS_MIN..=DIGITS).contains(&expected.len()) {
            let bound = "must be a digest: 64 hexadecimal digits, or its first 32 or more";
            let value = crate::rows::shown(&expected);
            return Err(StoreError::Entry { field: "expect", value, bound });
        }
        let connection = self.reader();
        let mut rolling = Rolling::default();
        if rolling.text().starts_with(&expected) {
            return Ok(Some(Anchor::Record(0)));
        }
        let mut found = None;
        rolling.go_on(&connection, |so_far, entry| {
            if so_far.text().starts_with(&expected) {
                found = Some(Anchor::Record(so_far.entries));
            } else if entry.starts_with(&expected) {
                found = Some(Anchor::Entry(String::new(), so_far.row));
            }
            found.is_some()
        })?;
        if let Some(Anchor::Entry(_, row)) = found {
            let of = "SELECT run_id, number FROM entry WHERE rowid = $1";
            let place = |row: &rusqlite::Row<'_>| Ok(Anchor::Entry(row.get(0)?, row.get(1)?));
            found = Some(connection.query_row(of, [row], place)?);
        }
        Ok(found)
    }
}
