//! Opens the record: one writer at a time, any number of readers beside it.

use std::fs::File;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicU64;
use std::sync::{Mutex, MutexGuard, PoisonError};

use rusqlite::Connection;

use super::failure::Trouble;
use super::pages::check_pages;
use super::reader::{BUSY, open_reader, readable};
use super::rolling::Rolling;
use super::seal::{self, SealFile};
use super::wash_state::WashState;
use super::{aside, migrate, rescue};
use crate::error::StoreError;

/// The record of one house. Shared between threads by reference.
#[derive(Debug)]
pub struct Store {
    path: PathBuf,
    /// Closed before the writer: the last connection to go folds the log into the database, and
    /// only one that may write can.
    reader: Mutex<Connection>,
    writer: Option<Writer>,
    /// Why the last write failed, or why there can be none.
    trouble: Mutex<Option<Trouble>>,
    /// The digest over all entries, as far as it was worked out.
    pub(super) rolling: Mutex<Rolling>,
    /// The account of pure alcohol as far as its log was read.
    pub(super) book: Mutex<account::Ledger>,
    /// Until which of its entries that lies beside the record.
    pub(super) ahead: AtomicU64,
    /// The washes that were read last, as far as their logs were read.
    pub(super) folded: Mutex<Vec<WashState>>,
}

/// The connection that writes, and the lock that keeps other processes from it.
#[derive(Debug)]
pub(super) struct Writer {
    pub(super) connection: Mutex<Connection>,
    pub(super) seal: Mutex<SealFile>,
    /// Held as long as the store lives; the system lets go of it when the process dies.
    _lock: File,
}

/// Name of the database in the data folder.
pub(super) const DATABASE: &str = "middlecut.sqlite";
/// Name of the lock beside it.
const LOCK: &str = "middlecut.lock";
impl Store {
    /// Opens the record of a data folder for writing; makes both where they are missing. Where its
    /// end is lost, what lies there is kept beside it before anything is written.
    ///
    /// # Errors
    /// [`StoreError::Locked`] where another process writes, [`StoreError::Foreign`] or
    /// [`StoreError::Newer`] for a file that is not ours, [`StoreError::Damaged`],
    /// [`StoreError::Io`].
    pub fn open(data_dir: &Path) -> Result<Self, StoreError> {
        std::fs::create_dir_all(data_dir).map_err(|source| StoreError::io(data_dir, source))?;
        let lock = lock(data_dir)?;
        let path = data_dir.join(DATABASE);
        look_first(&path)?;
        let mut connection = Connection::open(&path)?;
        connection.busy_timeout(BUSY)?;
        migrate::recognise(&connection, &path)?;
        connection.pragma_update(None, "journal_mode", "WAL")?;
        connection.pragma_update(None, "synchronous", "FULL")?;
        migrate::migrate(&mut connection, &path)?;
        // What a crash left in the log beside the database goes into it at once.
        connection.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))?;
        let seal = Mutex::new(SealFile::open(&path, &connection)?);
        let reader = open_reader(&path)?;
        let writer = Writer { connection: Mutex::new(connection), seal, _lock: lock };
        Ok(Self { writer: Some(writer), ..Self::reading(path, reader) })
    }

    /// As [`Store::open`]; where the disk or the file refuses, the record as far as it can be read,
    /// with [`Store::trouble`] saying why nothing is recorded.
    ///
    /// # Errors
    /// [`StoreError::Locked`], [`StoreError::Foreign`] and [`StoreError::Newer`] as [`Store::open`];
    /// else where there is no record at all and none can be made.
    pub fn open_to_serve(data_dir: &Path) -> Result<Self, StoreError> {
        let path = data_dir.join(DATABASE);
        match Self::open(data_dir) {
            Err(error) if error.is_of_disk() && path.is_file() => {
                Self::unrecorded(path, Trouble::at_the_start(&error))
            }
            other => other,
        }
    }

    /// A record that holds what can be read of a file and takes nothing.
    ///
    /// # Errors
    /// Where the system has no memory for it.
    pub fn unrecorded(path: PathBuf, trouble: Trouble) -> Result<Self, StoreError> {
        let reader = match readable(&path) {
            Ok(reader) => reader,
            Err(_) => rescue::in_memory(&path)?,
        };
        let trouble = Mutex::new(Some(trouble));
        Ok(Self { trouble, ..Self::reading(path, reader) })
    }

    fn reading(path: PathBuf, reader: Connection) -> Self {
        let (trouble, rolling, book) = (Mutex::new(None), Mutex::default(), Mutex::default());
        let (reader, ahead) = (Mutex::new(reader), AtomicU64::default());
        let folded = Mutex::default();
        Self { path, reader, writer: None, trouble, rolling, book, ahead, folded }
    }

    /// Opens the record for reading only, also while another process writes.
    ///
    /// # Errors
    /// [`StoreError::Absent`] where there is none, else as [`Store::open`].
    pub fn open_read_only(data_dir: &Path) -> Result<Self, StoreError> {
        Self::open_file_read_only(&data_dir.join(DATABASE))
    }

    /// Opens one database file for reading only: a backup, say.
    ///
    /// # Errors
    /// As [`Store::open_read_only`].
    pub fn open_file_read_only(path: &Path) -> Result<Self, StoreError> {
        if !path.is_file() {
            return Err(StoreError::Absent { path: path.to_owned() });
        }
        let reader = open_reader(path)?;
        if migrate::recognise(&reader, path)? < migrate::NEWEST {
            return Err(StoreError::Foreign { path: path.to_owned() });
        }
        Ok(Self::reading(path.to_owned(), reader))
    }

    /// The database file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The connection for reading.
    pub(super) fn reader(&self) -> MutexGuard<'_, Connection> {
        // A panic of another thread leaves no half-done read behind.
        self.reader.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What writes.
    pub(super) const fn writer(&self) -> Option<&Writer> {
        self.writer.as_ref()
    }

    /// Why nothing is recorded now: the last write failed for the disk or the file, or there can
    /// be none.
    #[must_use]
    pub fn trouble(&self) -> Option<Trouble> {
        self.trouble.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    pub(super) fn set_trouble(&self, trouble: Option<Trouble>) {
        *self.trouble.lock().unwrap_or_else(PoisonError::into_inner) = trouble;
    }
}

/// Looks at what lies there before anything is written: a damaged file is left as it is, and what
/// has lost its end is kept beside.
fn look_first(path: &Path) -> Result<(), StoreError> {
    let there = path.metadata().is_ok_and(|found| found.len() > 0);
    if !there {
        // A log without its database would be thrown away.
        return aside::keep_log_alone(path);
    }
    let reader = open_reader(path)?;
    let version = migrate::recognise(&reader, path).map_err(|error| match error {
        StoreError::Foreign { path } if seal::path_of(&path).exists() => {
            StoreError::Damaged { what: "the file is no database any more".into() }
        }
        other => other,
    })?;
    check_pages(&reader).map_err(|what| StoreError::Damaged { what })?;
    if version > 0 && seal::newly_lost(path, &reader)? {
        aside::copy(path)?;
    }
    Ok(())
}

pub(super) fn lock(data_dir: &Path) -> Result<File, StoreError> {
    let path = data_dir.join(LOCK);
    let file = File::options().create(true).append(true).open(&path);
    let file = file.map_err(|source| StoreError::io(&path, source))?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(std::fs::TryLockError::WouldBlock) => {
            Err(StoreError::Locked { dir: data_dir.to_owned() })
        }
        Err(std::fs::TryLockError::Error(source)) => Err(StoreError::io(&path, source)),
    }
}
