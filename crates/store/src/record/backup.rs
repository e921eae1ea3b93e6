//! The whole record in one file: copied while it is in use, and put back in its place.

use std::fs;
use std::path::{Path, PathBuf};

use rusqlite::Connection;
use rusqlite::backup::{Backup, StepResult};

use super::loss::Loss;
use super::open::{DATABASE, Store, lock};
use super::rolling::{RecordHead, head_of};
use super::seal::SealFile;
use super::{aside, migrate};
use crate::error::StoreError;

/// Pages copied at a time while others may write.
const BACKUP_PAGES: i32 = 1000;
/// Most rounds of copying; each start over costs one.
const BACKUP_ROUNDS_MAX: u32 = 1_000_000;
/// What a file is called until it is whole.
const PART: &str = ".part";

/// What came of putting a backup back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restored {
    /// What the record holds now.
    pub head: RecordHead,
    /// What was acknowledged and is not in the backup.
    pub losses: Vec<Loss>,
    /// Names of the files kept beside: what was there before.
    pub kept: Vec<String>,
}

impl Store {
    /// Copies the record into a new file, also while it is written: beside it first, under its name
    /// only when it is whole. Gives what the copy holds.
    ///
    /// # Errors
    /// [`StoreError::Io`] where the file exists already or cannot be written.
    pub fn backup(&self, file: &Path) -> Result<RecordHead, StoreError> {
        let taken = || std::io::Error::from(std::io::ErrorKind::AlreadyExists);
        if file.symlink_metadata().is_ok() {
            return Err(StoreError::io(file, taken()));
        }
        let part = aside::beside(file, PART);
        // What an earlier one left half done is of no use.
        drop(fs::remove_file(&part));
        let copied = self.copy_to(&part).and_then(|head| place(&part, file).map(|()| head));
        if copied.is_err() {
            // Half a backup would be worse than none; that it cannot be removed changes nothing.
            drop(fs::remove_file(&part));
        }
        copied
    }

    fn copy_to(&self, file: &Path) -> Result<RecordHead, StoreError> {
        let io = |source| StoreError::io(file, source);
        fs::File::create_new(file).map_err(io)?;
        let mut copy = Connection::open(file)?;
        {
            let source = self.reader();
            let backup = Backup::new(&source, &mut copy)?;
            for _ in 0..BACKUP_ROUNDS_MAX {
                match backup.step(BACKUP_PAGES)? {
                    StepResult::Done => break,
                    StepResult::More => {}
                    _ => std::thread::sleep(std::time::Duration::from_millis(5)),
                }
            }
        }
        // One plain file, without a log beside it.
        copy.pragma_update(None, "journal_mode", "DELETE")?;
        let head = head_of(&copy)?;
        copy.close().map_err(|(_, error)| StoreError::from(error))?;
        fs::File::open(file).and_then(|file| file.sync_all()).map_err(io)?;
        Ok(head)
    }

    /// Puts a backup in the place of the record of a data folder. What was there is kept beside it,
    /// and what the backup has not of it is named.
    ///
    /// # Errors
    /// [`StoreError::NotWhole`] for a backup that does not verify, [`StoreError::Locked`] where
    /// another process writes; else as [`Store::open`]. Nothing is changed then.
    pub fn restore(data_dir: &Path, file: &Path) -> Result<Restored, StoreError> {
        let backup = Self::open_file_read_only(file)?;
        backup.verify()?;
        fs::create_dir_all(data_dir).map_err(|source| StoreError::io(data_dir, source))?;
        let _lock = lock(data_dir)?;
        let path = data_dir.join(DATABASE);
        let same = || Some(fs::canonicalize(file).ok()? == fs::canonicalize(&path).ok()?);
        if same() == Some(true) {
            let bound = "must be another file than the record itself";
            return Err(StoreError::Entry {
                field: "file",
                value: crate::rows::shown(&file.display().to_string()),
                bound,
            });
        }
        let part = aside::beside(&path, PART);
        drop(fs::remove_file(&part));
        let head = backup.copy_to(&part)?;
        drop(backup);
        if path.exists() {
            aside::move_away(&path)?;
        } else {
            aside::keep_log_alone(&path)?;
        }
        place(&part, &path)?;
        let connection = Connection::open(&path)?;
        migrate::recognise(&connection, &path)?;
        drop(SealFile::open(&path, &connection)?);
        drop(connection);
        let restored = Self::open_file_read_only(&path)?;
        Ok(Restored { head, losses: restored.losses()?, kept: restored.kept_files() })
    }
}

/// Gives a whole file its name; what has the name already is not written over.
fn place(part: &Path, file: &Path) -> Result<(), StoreError> {
    let io = |source| StoreError::io(file, source);
    match fs::hard_link(part, file) {
        Ok(()) => fs::remove_file(part).map_err(io)?,
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => return Err(io(error)),
        // A disk without second names for a file.
        Err(_) => fs::rename(part, file).map_err(io)?,
    }
    sync_folder(file);
    Ok(())
}

/// Has the new name on the disk too, where the system can.
fn sync_folder(file: &Path) {
    let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty());
    let folder: PathBuf = folder.map_or_else(|| PathBuf::from("."), Path::to_owned);
    // Not every system opens a folder; the file itself is there.
    drop(fs::File::open(folder).and_then(|folder| folder.sync_all()));
}
