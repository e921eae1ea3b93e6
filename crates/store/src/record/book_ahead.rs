//! The account as it was worked out once, in a file beside the record: read in place of a hundred
//! thousand entries by the first question of a process.
//!
//! It is no part of the record and says nothing that the record does not. It names the digest of
//! the last entry it was worked out from, which the chain ties to every entry before; where the
//! record has another one there, or the file is not as it was written, it is not looked at, and the
//! entries are. [`Store::verify`] works the account out anew and holds the file against it.

use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::atomic::Ordering;

use account::{Ledger, Serial};
use rusqlite::{OptionalExtension, params};

use super::aside;
use super::failure::VerifyFailure;
use super::open::Store;
use super::run_id::RunId;

/// What the file begins with; the number is of what lies behind and of the rules it was worked out
/// by: who changes either counts it up.
const HEAD: &[u8] = b"middlecut account, layout 1\n";
/// Bytes of its own digest, and digits of the entry's.
const OWN: usize = blake3::OUT_LEN;
const DIGITS: usize = 2 * blake3::OUT_LEN;
/// Entries after which it is written anew. Judgement: so many are read in a few milliseconds.
const STEP: Serial = 500;
/// Most bytes that are read; a book of ten million entries has fewer.
const BYTES_MAX: u64 = 1 << 30;
/// What the file is called until it is whole.
const PART: &str = ".part";

/// The file's path beside its database.
pub(super) fn path_of(database: &Path) -> PathBuf {
    database.with_extension("account")
}

impl Store {
    /// The ledger that lies beside the record, where it is of this record.
    pub(super) fn taken_ahead(&self) -> Option<Ledger> {
        let mut bytes = Vec::new();
        let file = fs::File::open(path_of(self.path())).ok()?;
        file.take(BYTES_MAX).read_to_end(&mut bytes).ok()?;
        let rest = bytes.strip_prefix(HEAD)?;
        let (own, rest) = rest.split_at_checked(OWN)?;
        if blake3::hash(rest).as_bytes() != own {
            return None;
        }
        let (digest, rest) = rest.split_at_checked(DIGITS)?;
        let ledger = Ledger::of_bytes(rest)?;
        let is_of_this = self.book_digest_at(ledger.length())?.as_bytes() == digest;
        is_of_this.then(|| {
            self.ahead.store(ledger.length(), Ordering::Relaxed);
            ledger
        })
    }

    /// Lays the ledger beside the record once it has grown by enough; only who writes the record
    /// does. What cannot be written is worked out again next time.
    pub(super) fn keep_ahead(&self, ledger: &Ledger) {
        let length = ledger.length();
        if self.writer().is_none() || length < self.ahead.load(Ordering::Relaxed) + STEP {
            return;
        }
        self.ahead.store(length, Ordering::Relaxed);
        let Some(digest) = self.book_digest_at(length) else { return };
        let rest = [digest.as_bytes(), &ledger.to_bytes()].concat();
        let whole = [HEAD, blake3::hash(&rest).as_bytes(), &rest].concat();
        let path = path_of(self.path());
        let part = aside::beside(&path, PART);
        // Not forced to the disk: half a file is found by its digest.
        drop(fs::write(&part, whole).and_then(|()| fs::rename(&part, &path)));
    }

    /// The digest of an entry of the book, where the record has it.
    fn book_digest_at(&self, number: Serial) -> Option<String> {
        let number = i64::try_from(number).ok()?;
        let connection = self.reader();
        let asked = "SELECT digest FROM entry WHERE run_id = $1 AND number = $2";
        let mut statement = connection.prepare_cached(asked).ok()?;
        let found = statement.query_row(params![RunId::BOOK, number], |row| row.get(0));
        found.optional().ok()?.filter(|digest: &String| digest.len() == DIGITS)
    }

    /// Refuses a file beside the record that would be believed and does not follow from it.
    pub(super) fn check_ahead(&self) -> Result<(), VerifyFailure> {
        let Some(ahead) = self.taken_ahead() else { return Ok(()) };
        let failure = |what: String| VerifyFailure { run: RunId::BOOK.to_owned(), entry: 0, what };
        let mut anew = Ledger::default();
        self.catch_up(&mut anew, ahead.length()).map_err(|error| failure(error.to_string()))?;
        if anew.to_bytes() == ahead.to_bytes() {
            return Ok(());
        }
        let name = path_of(self.path());
        let name = name.file_name().unwrap_or_default().to_string_lossy().into_owned();
        Err(failure(format!(
            "is whole, but {name} beside the record says otherwise than its entries: remove that \
             file, it is made again"
        )))
    }
}
