//! A connection that reads, also where nothing can be written.

use std::path::Path;
use std::time::Duration;

use rusqlite::{Connection, OpenFlags};

use super::aside;
use super::migrate;
use super::pages::check_pages;
use crate::error::StoreError;

/// How long a connection waits for another one. Judgement: longer than another program's short
/// write, shorter than a person waits for an answer.
pub(super) const BUSY: Duration = Duration::from_secs(2);

/// A connection that reads a whole record.
pub(super) fn readable(path: &Path) -> Result<Connection, StoreError> {
    let reader = open_reader(path)?;
    if migrate::recognise(&reader, path)? < migrate::NEWEST {
        return Err(StoreError::Foreign { path: path.to_owned() });
    }
    check_pages(&reader).map_err(|what| StoreError::Damaged { what })?;
    Ok(reader)
}

/// A connection that reads; of a damaged file too, as far as that goes.
pub(super) fn open_reader(path: &Path) -> Result<Connection, StoreError> {
    let plain = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
    plain.busy_timeout(BUSY)?;
    let readable = plain.query_row("SELECT COUNT(*) FROM sqlite_master", [], |_| Ok(()));
    let error = match readable {
        Ok(()) => return Ok(plain),
        Err(error) => StoreError::from(error),
    };
    if matches!(error, StoreError::Damaged { .. } | StoreError::Busy) {
        return Ok(plain);
    }
    // The log beside the database cannot be made: no right to write, or no room. With no such log
    // there, nobody writes, and the file can be read as it lies.
    if !aside::beside(path, "-wal").metadata().is_ok_and(|found| found.len() > 0) {
        let uri = format!("file:{}?immutable=1", escaped(path));
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI;
        return Ok(Connection::open_with_flags(uri, flags)?);
    }
    // With one, its index is kept in memory by a connection that has the file to itself.
    let alone = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    alone.pragma_update(None, "locking_mode", "EXCLUSIVE")?;
    alone.pragma_update(None, "query_only", true)?;
    alone.query_row("SELECT COUNT(*) FROM sqlite_master", [], |_| Ok(()))?;
    Ok(alone)
}

/// A path inside a URI.
fn escaped(path: &Path) -> String {
    path.to_string_lossy().replace('%', "%25").replace('?', "%3f").replace('#', "%23")
}
