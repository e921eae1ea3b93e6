//! The seal beside the database: the last acknowledged entry, in a file of its own, so that a
//! database that has lost its end (or was put back to an older copy) cannot pass for whole.

use std::fs::File;
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use rusqlite::{Connection, OptionalExtension, params};

use super::failure::VerifyFailure;
use crate::error::StoreError;

/// Bytes of a line: written over in place, well inside one sector.
const LINE_BYTES: usize = 160;
/// Most lines that are read: one of now, and one for each loss ever found.
const LINES_MAX: usize = 1000;

/// One acknowledged entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Acknowledged {
    pub(super) run: String,
    pub(super) number: i64,
    pub(super) digest: String,
}

impl Acknowledged {
    fn line(&self) -> String {
        let text = format!("{} {} {}", self.run, self.number, self.digest);
        format!("{text:<width$}\n", width = LINE_BYTES - 1)
    }

    fn from_line(line: &str) -> Option<Self> {
        let mut words = line.split_whitespace();
        let (run, number, digest) = (words.next()?, words.next()?.parse().ok()?, words.next()?);
        Some(Self { run: run.to_owned(), number, digest: digest.to_owned() })
    }

    /// Whether the database still has it.
    fn held(&self, connection: &Connection) -> Result<bool, rusqlite::Error> {
        let digest: Option<String> = connection
            .query_row(
                "SELECT digest FROM entry WHERE run_id = $1 AND number = $2",
                params![self.run, self.number],
                |row| row.get(0),
            )
            .optional()?;
        Ok(digest.as_deref() == Some(self.digest.as_str()))
    }
}

/// The file's path beside its database.
fn path_of(database: &Path) -> PathBuf {
    database.with_extension("seal")
}

/// What a seal says: the entries that were acknowledged.
pub(super) struct Seal(Vec<Acknowledged>);

impl Seal {
    /// Reads the seal of a database; a backup has none.
    pub(super) fn read(database: &Path) -> Result<Self, VerifyFailure> {
        let broken = |what: String| VerifyFailure { run: "-".into(), entry: 0, what };
        let path = path_of(database);
        if !path.exists() {
            return Ok(Self(Vec::new()));
        }
        let mut text = String::new();
        let read = File::open(&path)
            .and_then(|file| file.take((LINE_BYTES * LINES_MAX) as u64).read_to_string(&mut text));
        read.map_err(|error| broken(format!("{} cannot be read: {error}", path.display())))?;
        let lines: Option<Vec<_>> = text.lines().map(Acknowledged::from_line).collect();
        let said = lines.ok_or_else(|| broken(format!("{} was changed", path.display())))?;
        Ok(Self(said))
    }

    /// Refuses a database that has not all of it.
    pub(super) fn check(&self, connection: &Connection) -> Result<(), VerifyFailure> {
        for said in &self.0 {
            let failure =
                |entry, what: String| VerifyFailure { run: said.run.clone(), entry, what };
            let held =
                said.held(connection).map_err(|error| failure(said.number, error.to_string()))?;
            if held {
                continue;
            }
            let last: i64 = connection
                .query_row(
                    "SELECT COALESCE(MAX(number), 0) FROM entry WHERE run_id = $1",
                    [&said.run],
                    |row| row.get(0),
                )
                .map_err(|error| failure(said.number, error.to_string()))?;
            let first_lost = said.number.min(last + 1);
            let what = format!(
                "is not the one that was acknowledged: {} was, with the digest in the seal",
                said.number
            );
            return Err(failure(first_lost, what));
        }
        Ok(())
    }
}

/// The seal of a record open for writing.
#[derive(Debug)]
pub(super) struct SealFile(File);

impl SealFile {
    /// Opens the seal. Where the database has lost what it names, the line is kept for ever, so
    /// that the loss is still found after writing has gone on.
    pub(super) fn open(database: &Path, connection: &Connection) -> Result<Self, StoreError> {
        let path = path_of(database);
        let io = |source| StoreError::io(&path, source);
        let file = File::options().create(true).truncate(false).read(true).write(true).open(&path);
        let mut file = file.map_err(io)?;
        let mut text = Vec::new();
        (&mut file).take(LINE_BYTES as u64).read_to_end(&mut text).map_err(io)?;
        let current = std::str::from_utf8(&text).ok().and_then(Acknowledged::from_line);
        if let Some(current) = current
            && !current.held(connection)?
        {
            file.seek(SeekFrom::End(0)).map_err(io)?;
            file.write_all(current.line().as_bytes()).map_err(io)?;
            file.sync_data().map_err(io)?;
        }
        Ok(Self(file))
    }

    /// Notes an entry that the database holds by now. Not forced to the disk: the entry is there
    /// already, and a seal that lags behind after a power cut accuses nobody.
    pub(super) fn note(&mut self, said: &Acknowledged) -> std::io::Result<()> {
        self.0.seek(SeekFrom::Start(0))?;
        self.0.write_all(said.line().as_bytes())
    }
}
