//! Opens the record: one writer at a time, any number of readers beside it.

use std::fs::File;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use rusqlite::{Connection, OpenFlags, Transaction};

use super::migrate;
use super::seal::{Acknowledged, SealFile};
use crate::error::StoreError;

/// The record of one house. Shared between threads by reference.
#[derive(Debug)]
pub struct Store {
    path: PathBuf,
    /// Closed before the writer: the last connection to go folds the log into the database, and
    /// only one that may write can.
    reader: Mutex<Connection>,
    writer: Option<Writer>,
}

/// The connection that writes, and the lock that keeps other processes from it.
#[derive(Debug)]
struct Writer {
    connection: Mutex<Connection>,
    seal: Mutex<SealFile>,
    /// Held as long as the store lives; the system lets go of it when the process dies.
    _lock: File,
}

/// Name of the database in the data folder.
const DATABASE: &str = "middlecut.sqlite";
/// Name of the lock beside it.
const LOCK: &str = "middlecut.lock";
/// How long a connection waits for another one.
const BUSY: Duration = Duration::from_secs(5);

impl Store {
    /// Opens the record of a data folder for writing; makes both where they are missing.
    ///
    /// # Errors
    /// [`StoreError::Locked`] where another process writes, [`StoreError::Foreign`] or
    /// [`StoreError::Newer`] for a file that is not ours, [`StoreError::Io`].
    pub fn open(data_dir: &Path) -> Result<Self, StoreError> {
        std::fs::create_dir_all(data_dir).map_err(|source| StoreError::io(data_dir, source))?;
        let lock = lock(data_dir)?;
        let path = data_dir.join(DATABASE);
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
        Ok(Self { path, reader: Mutex::new(reader), writer: Some(writer) })
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
        Ok(Self { path: path.to_owned(), reader: Mutex::new(reader), writer: None })
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

    /// The connection for writing.
    pub(super) fn writer(&self) -> Result<MutexGuard<'_, Connection>, StoreError> {
        let writer = self.writer.as_ref().ok_or(StoreError::ReadOnly)?;
        // A transaction that a panic cut short was rolled back when it was dropped.
        Ok(writer.connection.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

impl Store {
    /// Commits, then seals the last entry written. A seal that cannot be written takes nothing
    /// back: the entry is durable, only a later loss of it would go unseen.
    pub(super) fn commit(
        &self,
        transaction: Transaction<'_>,
        last: &Acknowledged,
    ) -> Result<(), StoreError> {
        transaction.commit()?;
        if let Some(writer) = &self.writer {
            drop(writer.seal.lock().unwrap_or_else(PoisonError::into_inner).note(last));
        }
        Ok(())
    }
}

fn lock(data_dir: &Path) -> Result<File, StoreError> {
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

fn open_reader(path: &Path) -> Result<Connection, StoreError> {
    let plain = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
    plain.busy_timeout(BUSY)?;
    let readable = plain.query_row("SELECT COUNT(*) FROM sqlite_master", [], |_| Ok(()));
    match readable.as_ref().map_err(rusqlite::Error::sqlite_error_code) {
        Ok(()) | Err(Some(rusqlite::ErrorCode::NotADatabase)) => Ok(plain),
        // A folder without the right to write: the log beside the database cannot be made. With
        // no such log there, nobody writes, and the file can be read as it lies.
        Err(_) if !beside(path, "-wal").exists() => {
            let uri = format!("file:{}?immutable=1", escaped(path));
            let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI;
            Ok(Connection::open_with_flags(uri, flags)?)
        }
        Err(_) => Err(readable.err().map_or(StoreError::ReadOnly, StoreError::from)),
    }
}

fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

/// A path inside a URI.
fn escaped(path: &Path) -> String {
    path.to_string_lossy().replace('%', "%25").replace('?', "%3f").replace('#', "%23")
}
