//! Reads what can still be read of a damaged record: of each run the entries from the first on whose
//! digests hold.

use std::path::Path;

use rusqlite::{Connection, Row, params};

use super::chain::Link;
use super::migrate;
use super::reader::open_reader;
use crate::error::StoreError;

/// A record in memory with what can be read of a file; empty where nothing can.
///
/// # Errors
/// Where the system has no memory for it.
pub(super) fn in_memory(path: &Path) -> Result<Connection, StoreError> {
    let mut memory = Connection::open_in_memory()?;
    migrate::migrate(&mut memory, path)?;
    if let Ok(damaged) = open_reader(path) {
        copy_readable(&damaged, &mut memory)?;
    }
    Ok(memory)
}

/// Copies what can be read, run by run.
///
/// # Errors
/// Where the other record takes it not.
pub(super) fn copy_readable(from: &Connection, to: &mut Connection) -> Result<(), StoreError> {
    let transaction = to.transaction()?;
    let (mut runs, mut entries, mut opening) = (0_i64, 0_i64, String::new());
    for run in run_names(from) {
        let found = chain_of(from, &run);
        let (Some(first), Some(last)) = (found.first(), found.last()) else { continue };
        for entry in &found {
            entry.write(&transaction)?;
        }
        runs += 1;
        entries += last.number;
        opening.clone_from(&first.digest);
        transaction.execute(
            "INSERT INTO head (run_id, ordinal, entries, digest, opening_digest) \
             VALUES ($1, $2, $3, $4, $5)",
            params![run, runs, last.number, last.digest, opening],
        )?;
    }
    transaction.execute(
        "UPDATE seal SET runs = $1, entries = $2, opening_digest = $3 WHERE id = 1",
        params![runs, entries, opening],
    )?;
    Ok(transaction.commit()?)
}

/// The names of the runs, as far as either table gives them.
fn run_names(from: &Connection) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for query in ["SELECT run_id FROM head ORDER BY ordinal", "SELECT DISTINCT run_id FROM entry"] {
        let Ok(mut statement) = from.prepare(query) else { continue };
        let Ok(mut rows) = statement.query([]) else { continue };
        while let Ok(Some(row)) = rows.next() {
            names.extend(row.get(0).ok().filter(|name| !names.contains(name)));
        }
    }
    names
}

/// One row of the log as it stands.
struct Raw {
    texts: [String; 4],
    payload: String,
    previous: String,
    number: i64,
    numbers: [i64; 3],
    digest: String,
}

impl Raw {
    fn of(row: &Row<'_>) -> Result<Self, rusqlite::Error> {
        Ok(Self {
            texts: [row.get(0)?, row.get(1)?, row.get(2)?, row.get(4)?],
            number: row.get(3)?,
            numbers: [row.get(5)?, row.get(6)?, row.get(7)?],
            payload: row.get(8)?,
            previous: row.get(9)?,
            digest: row.get(10)?,
        })
    }

    fn link(&self) -> Link<'_> {
        let [site_id, still_id, run_id, kind] = &self.texts;
        let [payload_version, measured_ms, stored_ms] = self.numbers;
        Link {
            site_id,
            still_id,
            run_id,
            number: self.number,
            kind,
            payload_version,
            measured_ms,
            stored_ms,
            payload: &self.payload,
            previous_digest: &self.previous,
        }
    }

    fn write(&self, to: &Connection) -> Result<(), StoreError> {
        self.link().insert(to, &self.digest)
    }
}

/// The entries of a run from the first on that can be read and whose chain holds.
fn chain_of(from: &Connection, run: &str) -> Vec<Raw> {
    let mut found: Vec<Raw> = Vec::new();
    let Ok(mut statement) = from.prepare_cached(
        "SELECT site_id, still_id, run_id, number, kind, payload_version, measured_ms, stored_ms, \
         payload, previous_digest, digest FROM entry WHERE run_id = $1 ORDER BY number",
    ) else {
        return found;
    };
    let Ok(mut rows) = statement.query([run]) else { return found };
    while let Ok(Some(row)) = rows.next() {
        let Ok(raw) = Raw::of(row) else { break };
        let follows = found.last().is_none_or(|before| before.digest == raw.previous);
        let next = raw.number == found.last().map_or(1, |before| before.number + 1);
        if !follows || !next || raw.link().digest() != raw.digest {
            break;
        }
        found.push(raw);
    }
    found
}
