//! The account of pure alcohol in the record: entered, judged, read back; nothing rubbed out.

use std::sync::{MutexGuard, PoisonError};

use account::{AccountError, Ledger, Numbered, Serial};
use rusqlite::params;

use super::append;
use super::entry::Entry;
use super::open::Store;
use super::run_id::RunId;
use crate::error::StoreError;

/// Most entries given back at once.
const PAGE_MAX: usize = 1_000;
/// Entries of a book that are taken in as one act; judgement: a second's work.
const IMPORT_STEP: usize = 20_000;

impl Store {
    /// The account as it stands, for reading.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] for an entry that is damaged, newer, or does not fit those before.
    pub fn account<T>(&self, look: impl FnOnce(&Ledger) -> T) -> Result<T, StoreError> {
        Ok(look(&*self.caught_up()?))
    }

    /// Enters what `make` makes of the account as it stands. An entry whose key is known changes
    /// nothing: the one that is there is given back.
    ///
    /// # Errors
    /// [`StoreError::Account`] where it may not join; else as [`Store::append`].
    pub fn enter(
        &self,
        make: impl FnOnce(&Ledger) -> Result<account::Entry, AccountError>,
        now_ms: i64,
    ) -> Result<Numbered, StoreError> {
        let mut ledger = self.caught_up()?;
        let mut entry = make(&ledger)?;
        self.date_instruments(&mut entry)?;
        let known = entry.key.as_deref().and_then(|key| ledger.of_key(key));
        if let Some(number) = known {
            return self.account_entry(number);
        }
        ledger.judge(&entry)?;
        let numbered = Numbered { number: ledger.length() + 1, entry };
        let only = std::slice::from_ref(&numbered.entry);
        self.writing(|transaction| append::add_to_book(transaction, only, now_ms))?;
        ledger.take(&numbered)?;
        self.keep_ahead(&ledger);
        Ok(numbered)
    }

    /// Enters many as one act, all or none; gives the serial of the last.
    ///
    /// # Errors
    /// As [`Store::enter`].
    pub fn enter_all(&self, entries: &[account::Entry], now_ms: i64) -> Result<Serial, StoreError> {
        let mut ledger = self.caught_up()?;
        if entries.is_empty() {
            return Ok(ledger.length());
        }
        let mut after = ledger.clone();
        for entry in entries {
            let (number, entry) = (after.length() + 1, entry.clone());
            after.take(&Numbered { number, entry })?;
        }
        self.writing(|transaction| append::add_to_book(transaction, entries, now_ms))?;
        *ledger = after;
        self.keep_ahead(&ledger);
        Ok(ledger.length())
    }

    /// Takes a book in: what is here already must be its beginning, the rest is added as it is.
    /// Gives how many entries were added.
    ///
    /// # Errors
    /// [`StoreError::Book`] where an entry that is here is another one there; else as
    /// [`Store::enter_all`].
    pub fn import_book(
        &self,
        book: &[Numbered],
        mut told: impl FnMut(usize),
        now_ms: i64,
    ) -> Result<usize, StoreError> {
        let mut known = 0;
        self.for_each_account_entry(|here| {
            match book.get(known) {
                Some(there) if *there == here => known += 1,
                _ => {
                    let what = format!("is not entry {} of this record", here.number);
                    let (file, line) = (crate::book::TABLE_FILE, known + 2);
                    return Err(crate::book::BookFault { file, line, what }.into());
                }
            }
            Ok(())
        })?;
        let mut added = known;
        for some in book[known..].chunks(IMPORT_STEP) {
            let entries: Vec<account::Entry> =
                some.iter().map(|numbered| numbered.entry.clone()).collect();
            self.enter_all(&entries, now_ms)?;
            added += entries.len();
            told(added);
        }
        Ok(added - known)
    }

    /// Entries of the account after a serial (0 = from the first), at most `limit` (and 1000).
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] for a damaged or newer entry.
    pub fn account_entries(
        &self,
        after: Serial,
        limit: usize,
    ) -> Result<Vec<Numbered>, StoreError> {
        let connection = self.reader();
        let mut statement = connection.prepare_cached(
            "SELECT number, payload_version, payload FROM entry \
             WHERE run_id = $1 AND number > $2 ORDER BY number LIMIT $3",
        )?;
        let (after, limit) = (
            i64::try_from(after).unwrap_or(i64::MAX),
            i64::try_from(limit.min(PAGE_MAX)).unwrap_or(i64::MAX),
        );
        let mut rows = statement.query(params![RunId::BOOK, after, limit])?;
        let mut entries = Vec::new();
        while let Some(row) = rows.next()? {
            let number: i64 = row.get(0)?;
            let payload = row.get_ref(2)?;
            let read = payload.as_str().map_err(|error| error.to_string()).and_then(|payload| {
                Entry::from_payload("account", row.get(1).unwrap_or_default(), payload)
            });
            match read {
                Ok(Entry::Account(entry)) => {
                    let number = Serial::try_from(number).unwrap_or_default();
                    entries.push(Numbered { number, entry: *entry });
                }
                Ok(_) => return Err(unreadable(number, "is no entry of the account".to_owned())),
                Err(what) => return Err(unreadable(number, what)),
            }
        }
        Ok(entries)
    }

    /// One entry of the account.
    ///
    /// # Errors
    /// [`StoreError::Account`] where there is none of that serial.
    pub fn account_entry(&self, number: Serial) -> Result<Numbered, StoreError> {
        let before = number.checked_sub(1);
        let found = before.map(|before| self.account_entries(before, 1)).transpose()?;
        let missing = AccountError::NotCorrectable { entry: number, why: "is not in the book" };
        Ok(found.and_then(|mut found| found.pop()).ok_or(missing)?)
    }

    /// Every entry of the account in the order of serials, page by page.
    ///
    /// # Errors
    /// As [`Store::account_entries`], and what `look` refuses.
    pub fn for_each_account_entry(
        &self,
        mut look: impl FnMut(Numbered) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        let mut after = 0;
        loop {
            let page = self.account_entries(after, PAGE_MAX)?;
            let Some(last) = page.last() else { return Ok(()) };
            after = last.number;
            page.into_iter().try_for_each(&mut look)?;
        }
    }

    /// The ledger with everything that is written.
    pub(super) fn caught_up(&self) -> Result<MutexGuard<'_, Ledger>, StoreError> {
        // A panic of another thread leaves a ledger that is behind or up to date, never half.
        let mut ledger = self.book.lock().unwrap_or_else(PoisonError::into_inner);
        if ledger.length() == 0
            && let Some(ahead) = self.taken_ahead()
        {
            *ledger = ahead;
        }
        self.catch_up(&mut ledger, Serial::MAX)?;
        self.keep_ahead(&ledger);
        Ok(ledger)
    }

    /// Has a ledger take what is written behind its last entry, up to a serial.
    pub(super) fn catch_up(&self, ledger: &mut Ledger, upto: Serial) -> Result<(), StoreError> {
        loop {
            let missing = usize::try_from(upto.saturating_sub(ledger.length()));
            let page = self.account_entries(ledger.length(), missing.unwrap_or(PAGE_MAX))?;
            if page.is_empty() {
                return Ok(());
            }
            for numbered in page {
                let number = i64::try_from(numbered.number).unwrap_or(i64::MAX);
                let taken = ledger.take(&numbered);
                taken.map_err(|error| unreadable(number, error.to_string()))?;
            }
        }
    }
}

fn unreadable(number: i64, what: String) -> StoreError {
    StoreError::Unreadable { run: RunId::BOOK.to_owned(), entry: number, what }
}
