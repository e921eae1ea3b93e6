//! The seal beside the database: the last acknowledged entry, in a file of its own, so that a
//! database that has lost its end (or was put back to an older copy) cannot pass for whole.

use std::fs::{self, File};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use rusqlite::{Connection, OptionalExtension, params};

use super::failure::VerifyFailure;
use crate::error::StoreError;

/// Bytes of a line: written over in place, well inside one sector.
const LINE_BYTES: usize = 160;
/// Most lines that are read: one of now, and one for each loss ever found.
const LINES_MAX: usize = 1000;
/// Digits of a digest.
const DIGITS: usize = 64;

/// One acknowledged entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Acknowledged {
    pub(super) run: String,
    pub(super) number: i64,
    pub(super) digest: String,
}

impl Acknowledged {
    fn line(&self) -> String {
        padded(&format!("{} {} {}", self.run, self.number, self.digest))
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

/// An acknowledged entry that the database had not when it was opened, and the first one before it
/// that was gone with it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Lost {
    pub(super) said: Acknowledged,
    pub(super) first: i64,
}

impl Lost {
    /// Stands in the place of a run where the seal itself was changed.
    pub(super) const OF_THE_SEAL: &str = "-";

    fn line(&self) -> String {
        let Acknowledged { run, number, digest } = &self.said;
        padded(&format!("{run} {number} {digest} {}", self.first))
    }

    pub(super) fn is_of_the_seal(&self) -> bool {
        self.said.run == Self::OF_THE_SEAL
    }

    /// With the first entry that the database has not.
    fn of(said: Acknowledged, connection: &Connection) -> Result<Self, rusqlite::Error> {
        let last: i64 = connection.query_row(
            "SELECT COALESCE(MAX(number), 0) FROM entry WHERE run_id = $1",
            [&said.run],
            |row| row.get(0),
        )?;
        Ok(Self { first: said.number.min(last + 1), said })
    }
}

fn padded(text: &str) -> String {
    format!("{text:<width$}\n", width = LINE_BYTES - 1)
}

/// The file's path beside its database.
pub(super) fn path_of(database: &Path) -> PathBuf {
    database.with_extension("seal")
}

/// What a seal says: the last entry that was acknowledged, and those found lost.
#[derive(Debug, Default)]
pub(super) struct Seal {
    current: Option<Acknowledged>,
    lost: Vec<Lost>,
    /// Digest of its bytes where a line is none; a loss that nobody can name.
    garbled: Option<String>,
}

impl Seal {
    /// Reads the seal of a database; a backup has none.
    pub(super) fn read(database: &Path) -> Self {
        let mut bytes = Vec::new();
        let file = match File::open(path_of(database)) {
            Ok(file) => file,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Self::default(),
            Err(_) => return Self { garbled: Some("0".repeat(DIGITS)), ..Self::default() },
        };
        match file.take((LINE_BYTES * LINES_MAX) as u64).read_to_end(&mut bytes) {
            Ok(_) => Self::of(&bytes),
            Err(_) => Self { garbled: Some("0".repeat(DIGITS)), ..Self::default() },
        }
    }

    fn of(bytes: &[u8]) -> Self {
        let mut seal = Self::default();
        let text = String::from_utf8_lossy(bytes);
        for (place, line) in text.split('\n').enumerate() {
            // Bytes that a power cut kept from the disk are nought.
            let line = line.trim_matches(|sign: char| sign.is_whitespace() || sign == '\0');
            if line.is_empty() {
                continue;
            }
            match (place, read_line(line)) {
                (0, Some((said, None))) => seal.current = Some(said),
                (1.., Some((said, first))) => {
                    let first = first.unwrap_or(said.number);
                    seal.lost.push(Lost { said, first });
                }
                _ => seal.garbled = Some(blake3::hash(bytes).to_hex().to_string()),
            }
        }
        seal
    }

    /// Everything that was acknowledged and the database has not.
    pub(super) fn lost(&self, connection: &Connection) -> Result<Vec<Lost>, rusqlite::Error> {
        let mut lost = self.lost.clone();
        if let Some(current) = &self.current
            && !lost.iter().any(|known| known.said == *current)
            && !current.held(connection)?
        {
            lost.push(Lost::of(current.clone(), connection)?);
        }
        if let Some(digest) = &self.garbled {
            let run = Lost::OF_THE_SEAL.to_owned();
            let said = Acknowledged { run, number: 0, digest: digest.clone() };
            lost.push(Lost { said, first: 0 });
        }
        Ok(lost)
    }

    /// Refuses a database that has not all of it, but for losses that somebody said are known;
    /// gives how many those are.
    pub(super) fn check(
        &self,
        connection: &Connection,
        accepted: &[Acknowledged],
    ) -> Result<usize, VerifyFailure> {
        let unreadable = |error: rusqlite::Error| VerifyFailure {
            run: Lost::OF_THE_SEAL.into(),
            entry: 0,
            what: format!("cannot be held against the seal: {error}"),
        };
        let lost = self.lost(connection).map_err(unreadable)?;
        let new = lost.iter().find(|lost| !accepted.contains(&lost.said));
        let Some(new) = new else { return Ok(lost.len()) };
        let what = if new.is_of_the_seal() {
            "the seal beside the record was changed: whether its end is lost cannot be told".into()
        } else {
            let number = new.said.number;
            format!(
                "is not the one that was acknowledged: {number} was, with the digest in the seal"
            )
        };
        Err(VerifyFailure { run: new.said.run.clone(), entry: new.first, what })
    }
}

/// The words of a line: an acknowledged entry and, of one that was lost, the first that went.
fn read_line(line: &str) -> Option<(Acknowledged, Option<i64>)> {
    let words: Vec<&str> = line.split_whitespace().collect();
    let (run, number, digest, first) = match words.as_slice() {
        [run, number, digest] => (run, number, digest, None),
        [run, number, digest, first] => (run, number, digest, Some(first.parse().ok()?)),
        _ => return None,
    };
    let whole = digest.len() == DIGITS && digest.chars().all(|sign| sign.is_ascii_hexdigit());
    let said = Acknowledged {
        run: (*run).to_owned(),
        number: number.parse().ok()?,
        digest: (*digest).to_owned(),
    };
    whole.then_some((said, first))
}

/// Whether the database has lost something that the seal does not know to be lost.
pub(super) fn newly_lost(database: &Path, connection: &Connection) -> Result<bool, StoreError> {
    let seal = Seal::read(database);
    Ok(seal.lost(connection)?.len() > seal.lost.len())
}

/// The seal of a record open for writing.
#[derive(Debug)]
pub(super) struct SealFile(File);

impl SealFile {
    /// Opens the seal. Where the database has lost what it names, a line of that is kept for ever,
    /// so that the loss is still found after writing has gone on; whoever opens it has put a copy of
    /// what lay there aside.
    pub(super) fn open(database: &Path, connection: &Connection) -> Result<Self, StoreError> {
        let path = path_of(database);
        let io = |source| StoreError::io(&path, source);
        let seal = Seal::read(database);
        let lost = seal.lost(connection)?;
        if lost.len() > seal.lost.len() {
            // The whole of it under another name first: half a seal would accuse everybody.
            let current = seal.current.map_or_else(|| padded(""), |said| said.line());
            let lines: String = lost.iter().map(Lost::line).collect();
            let part = path.with_extension("seal.part");
            let written = File::create(&part).and_then(|mut file| {
                file.write_all(format!("{current}{lines}").as_bytes())?;
                file.sync_all()
            });
            written.and_then(|()| fs::rename(&part, &path)).map_err(io)?;
        }
        let file = File::options().create(true).truncate(false).read(true).write(true).open(&path);
        Ok(Self(file.map_err(io)?))
    }

    /// Notes an entry that the database holds by now. Not forced to the disk: the entry is there
    /// already, and a seal that lags behind after a power cut accuses nobody.
    pub(super) fn note(&mut self, said: &Acknowledged) -> std::io::Result<()> {
        self.0.seek(SeekFrom::Start(0))?;
        self.0.write_all(said.line().as_bytes())
    }
}

#[cfg(test)]
mod tests {
    use super::{Acknowledged, LINE_BYTES, Lost, Seal};

    fn said(number: i64) -> Acknowledged {
        Acknowledged { run: "20261003-081200-4f2a".into(), number, digest: "ab".repeat(32) }
    }

    #[test]
    fn a_seal_is_read_as_it_was_written() {
        let lost = Lost { said: said(9), first: 5 };
        let text = format!("{}{}", said(12).line(), lost.line());
        assert_eq!(text.len(), 2 * LINE_BYTES);
        let seal = Seal::of(text.as_bytes());
        assert_eq!((seal.current, seal.lost, seal.garbled), (Some(said(12)), vec![lost], None));
    }

    #[test]
    fn bytes_that_never_reached_the_disk_say_nothing_and_any_others_are_noticed() {
        for nothing in ["", "\0\0\0\0", "   \n"] {
            let seal = Seal::of(nothing.as_bytes());
            assert!(seal.current.is_none() && seal.garbled.is_none(), "{nothing:?}");
        }
        let torn = &said(12).line()[..40];
        for changed in [torn, "x", "a b c", "a 1 zz", "\u{fffd}\u{fffd}"] {
            assert!(Seal::of(changed.as_bytes()).garbled.is_some(), "{changed:?}");
        }
        let below = format!("{}what is this\n", said(12).line());
        let seal = Seal::of(below.as_bytes());
        assert!(seal.current.is_some() && seal.garbled.is_some());
    }
}
