//! The book itself: its file, its tables, who is turned out, where the server can be reached.

use std::fs::OpenOptions;
use std::path::Path;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use rusqlite::Connection;

use crate::error::StoreError;

/// Digest of a secret.
pub type SecretDigest = [u8; 32];

/// Name of the file in the data folder.
const FILE: &str = "access.sqlite";
/// Marks the file as ours: the letters M d C a.
const APPLICATION_ID: i64 = 0x4d64_4361;
/// The tables this program knows.
const VERSION: i64 = 2;
/// How long one process waits for another; each writes a row and is gone.
const BUSY: Duration = Duration::from_secs(2);

const TABLES: [&str; 2] = [
    "
CREATE TABLE code (digest BLOB PRIMARY KEY, role TEXT NOT NULL, expires_ms INTEGER NOT NULL) STRICT;
CREATE TABLE person (id TEXT PRIMARY KEY, digest BLOB NOT NULL, role TEXT NOT NULL,
    name TEXT NOT NULL, made_ms INTEGER NOT NULL, expires_ms INTEGER NOT NULL,
    seen_ms INTEGER NOT NULL) STRICT;
CREATE TABLE device (id TEXT PRIMARY KEY, digest BLOB NOT NULL, still TEXT NOT NULL,
    name TEXT NOT NULL, made_ms INTEGER NOT NULL, seen_ms INTEGER) STRICT;
CREATE TABLE place (url TEXT PRIMARY KEY) STRICT;
",
    // A device of a wash has no still.
    "ALTER TABLE device ADD COLUMN wash TEXT;",
];

/// The book of those who may come in.
#[derive(Debug)]
pub struct AccessBook {
    connection: Mutex<Connection>,
}

impl AccessBook {
    /// Opens the book of a data folder; makes it, for its owner's eyes only, where it is missing.
    ///
    /// # Errors
    /// [`StoreError::Io`], [`StoreError::Foreign`] and [`StoreError::Newer`] as for a record.
    pub fn open(data_dir: &Path) -> Result<Self, StoreError> {
        std::fs::create_dir_all(data_dir).map_err(|source| StoreError::io(data_dir, source))?;
        let path = data_dir.join(FILE);
        let mut options = OpenOptions::new();
        options.create(true).append(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        options.open(&path).map_err(|source| StoreError::io(&path, source))?;
        let connection = Connection::open(&path)?;
        Self::prepare(connection, &path)
    }

    /// A book that nobody keeps: what is written in it is gone with the program.
    ///
    /// # Errors
    /// [`StoreError`] where there is no memory.
    pub fn unkept() -> Result<Self, StoreError> {
        Self::prepare(Connection::open_in_memory()?, Path::new(FILE))
    }

    fn prepare(mut connection: Connection, path: &Path) -> Result<Self, StoreError> {
        connection.busy_timeout(BUSY)?;
        let number = |connection: &Connection, name: &str| -> Result<i64, rusqlite::Error> {
            connection.pragma_query_value(None, name, |row| row.get(0))
        };
        let foreign = |_| StoreError::Foreign { path: path.to_owned() };
        let found = number(&connection, "user_version").map_err(foreign)?;
        if found > VERSION {
            return Err(StoreError::Newer { path: path.to_owned(), found, known: VERSION });
        }
        if found > 0 && number(&connection, "application_id")? != APPLICATION_ID {
            return Err(StoreError::Foreign { path: path.to_owned() });
        }
        connection.pragma_update(None, "journal_mode", "WAL")?;
        let made =
            connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
        // Another process may have made them meanwhile.
        let there = usize::try_from(number(&made, "user_version")?).unwrap_or(usize::MAX);
        if there < TABLES.len() {
            for step in TABLES.iter().skip(there) {
                made.execute_batch(step)?;
            }
            made.pragma_update(None, "application_id", APPLICATION_ID)?;
            made.pragma_update(None, "user_version", VERSION)?;
        }
        made.commit()?;
        Ok(Self { connection: Mutex::new(connection) })
    }

    pub(super) fn connection(&self) -> MutexGuard<'_, Connection> {
        // A transaction that a panic cut short was rolled back when it was dropped.
        self.connection.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Keeps where the server that runs now can be reached from other machines.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn put_places(&self, urls: &[String]) -> Result<(), StoreError> {
        let mut connection = self.connection();
        let all = connection.transaction()?;
        all.execute("DELETE FROM place", [])?;
        for url in urls {
            all.execute("INSERT OR IGNORE INTO place VALUES (?1)", [url])?;
        }
        all.commit()?;
        Ok(())
    }

    /// Where the server that ran last could be reached from other machines, in its order.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn places(&self) -> Result<Vec<String>, StoreError> {
        let connection = self.connection();
        let mut all = connection.prepare_cached("SELECT url FROM place ORDER BY rowid")?;
        let urls = all.query_map([], |row| row.get(0))?;
        Ok(urls.collect::<Result<_, _>>()?)
    }

    /// Turns a person or a device out. Whether there was one of that id.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn revoke(&self, id: &str) -> Result<bool, StoreError> {
        let connection = self.connection();
        let people = connection.execute("DELETE FROM person WHERE id = ?1", [id])?;
        let devices = connection.execute("DELETE FROM device WHERE id = ?1", [id])?;
        Ok(people + devices > 0)
    }

    /// Notes that somebody of that id was here.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn note_seen(&self, id: &str, now_ms: i64) -> Result<(), StoreError> {
        let connection = self.connection();
        for table in ["person", "device"] {
            let statement = format!("UPDATE {table} SET seen_ms = ?2 WHERE id = ?1");
            connection.execute(&statement, rusqlite::params![id, now_ms])?;
        }
        Ok(())
    }
}

/// Refuses one more where the book is full.
pub(super) fn must_have_room(
    connection: &Connection,
    table: &'static str,
    most: usize,
) -> Result<(), StoreError> {
    let count: usize = connection
        .query_row(&format!("SELECT COUNT(*) FROM {table}"), [], |row| row.get::<_, i64>(0))
        .map(|count| usize::try_from(count).unwrap_or(usize::MAX))?;
    if count < most {
        return Ok(());
    }
    let bound = "must not be more than the book holds: revoke one first";
    Err(StoreError::Entry { field: table, value: (count + 1).to_string(), bound })
}
