//! Brings a database to the tables this program knows; a migration once released is final.

use std::path::Path;

use rusqlite::Connection;

use crate::error::StoreError;

/// Marks the file as ours: the letters M d C t.
const APPLICATION_ID: i64 = 0x4d64_4374;

/// Migration n brings version n to n + 1.
const MIGRATIONS: [&str; 1] = [include_str!("../../migrations/0001_log.sql")];

/// The version this program works with.
#[expect(clippy::cast_possible_wrap, reason = "a handful of migrations")]
pub(super) const NEWEST: i64 = MIGRATIONS.len() as i64;

fn number(connection: &Connection, name: &str) -> Result<i64, rusqlite::Error> {
    connection.pragma_query_value(None, name, |row| row.get(0))
}

/// Refuses a file that is no record, or one of a newer program; gives its version.
pub(super) fn recognise(connection: &Connection, path: &Path) -> Result<i64, StoreError> {
    let foreign = |error: rusqlite::Error| match error.sqlite_error_code() {
        Some(rusqlite::ErrorCode::NotADatabase) => StoreError::Foreign { path: path.to_owned() },
        _ => StoreError::from(error),
    };
    let version = number(connection, "user_version").map_err(foreign)?;
    let tables: i64 =
        connection.query_row("SELECT COUNT(*) FROM sqlite_master", [], |row| row.get(0))?;
    let ours = number(connection, "application_id")? == APPLICATION_ID;
    if !ours && (version != 0 || tables != 0) {
        return Err(StoreError::Foreign { path: path.to_owned() });
    }
    if version > NEWEST {
        let path = path.to_owned();
        return Err(StoreError::Newer { path, found: version, known: NEWEST });
    }
    Ok(version)
}

/// Applies what is missing, each migration whole or not at all.
pub(super) fn migrate(connection: &mut Connection, path: &Path) -> Result<(), StoreError> {
    let version = recognise(connection, path)?;
    for (from, migration) in (0_i64..).zip(MIGRATIONS) {
        if from < version {
            continue;
        }
        let transaction = connection.transaction()?;
        transaction.execute_batch(migration)?;
        transaction.pragma_update(None, "application_id", APPLICATION_ID)?;
        transaction.pragma_update(None, "user_version", from + 1)?;
        transaction.commit()?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    #[test]
    fn regress_released_migrations_are_never_edited() {
        let digests = ["5799d9bb06d3a401ced29b43595dc3df96e409dc445e946a1934c4ec9e15d412"];
        for (migration, digest) in super::MIGRATIONS.into_iter().zip(digests) {
            assert_eq!(blake3::hash(migration.as_bytes()).to_hex().as_str(), digest);
        }
    }
}
