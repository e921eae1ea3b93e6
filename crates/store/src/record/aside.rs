//! Keeps beside the record what is damaged or replaced: copies under a number, never written over.

use std::fs;
use std::path::{Path, PathBuf};

use crate::error::StoreError;

/// What the name of a kept file begins with.
const STEM: &str = "middlecut.kept-";
/// Most sets that are kept; judgement: one is made for each loss, and a person looks at it.
const SETS_MAX: u32 = 1000;
/// Endings of the files of a record, added to the database's name.
const ENDINGS: [&str; 2] = ["", "-wal"];

/// The path with that ending added to its name.
pub(super) fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

/// The names of what is kept beside a database, in the order of names.
pub(super) fn kept(database: &Path) -> Vec<String> {
    let Some(inside) = database.parent().and_then(|dir| fs::read_dir(dir).ok()) else {
        return Vec::new();
    };
    let names = inside.filter_map(|file| file.ok()?.file_name().into_string().ok());
    let mut names: Vec<String> = names.filter(|name| name.starts_with(STEM)).collect();
    names.sort();
    names
}

/// A name that nothing has yet.
fn free(database: &Path) -> Result<PathBuf, StoreError> {
    let taken = kept(database);
    let number = (1..SETS_MAX).find(|number| {
        let own = format!("{STEM}{number}.");
        !taken.iter().any(|name| name.starts_with(&own))
    });
    let full = || std::io::Error::other("too many damaged files are kept here: move them away");
    let number = number.ok_or_else(|| StoreError::io(database, full()))?;
    Ok(database.with_file_name(format!("{STEM}{number}.sqlite")))
}

fn copied(from: &Path, to: &Path) -> Result<(), StoreError> {
    let copy = fs::copy(from, to).and_then(|_| fs::File::open(to)?.sync_all());
    copy.map_err(|source| {
        // Half a copy would be worse than none; that it cannot be removed changes nothing.
        drop(fs::remove_file(to));
        StoreError::io(to, source)
    })
}

/// Copies a database with its log and its seal.
pub(super) fn copy(database: &Path) -> Result<(), StoreError> {
    let to = free(database)?;
    let files = ENDINGS.map(|ending| (beside(database, ending), beside(&to, ending)));
    let seal = (database.with_extension("seal"), to.with_extension("seal"));
    files
        .iter()
        .chain([&seal])
        .filter(|(from, _)| from.exists())
        .try_for_each(|(from, to)| copied(from, to))
}

/// Moves a log away that has no database any more.
pub(super) fn keep_log_alone(database: &Path) -> Result<(), StoreError> {
    let log = beside(database, "-wal");
    if !log.metadata().is_ok_and(|found| found.len() > 0) {
        return Ok(());
    }
    let to = beside(&free(database)?, "-wal");
    fs::rename(&log, &to).map_err(|source| StoreError::io(&to, source))
}

/// Moves a database and its log away, to make room for another one; a copy of the seal goes along.
pub(super) fn move_away(database: &Path) -> Result<(), StoreError> {
    let to = free(database)?;
    if database.with_extension("seal").exists() {
        copied(&database.with_extension("seal"), &to.with_extension("seal"))?;
    }
    for ending in ENDINGS {
        let (from, to) = (beside(database, ending), beside(&to, ending));
        if from.exists() {
            fs::rename(&from, &to).map_err(|source| StoreError::io(&to, source))?;
        }
    }
    // The index of the log that was moved is of no use to anybody.
    drop(fs::remove_file(beside(database, "-shm")));
    Ok(())
}
