//! Where the record stands: the folder that was named, or the user's data folder.

use std::path::{Path, PathBuf};

use directories::ProjectDirs;
use store::folder::RunFolder;
use store::{RunId, Store};

use crate::error::CliError;

/// The folder of a record that is there.
pub(super) fn existing(named: Option<&Path>) -> Result<PathBuf, CliError> {
    let dir = folder(named)?;
    // Opened for reading first: a folder mistyped must not become an empty record.
    drop(Store::open_read_only(&dir)?);
    Ok(dir)
}

/// The folder of the record.
pub(super) fn folder(named: Option<&Path>) -> Result<PathBuf, CliError> {
    match named {
        Some(path) => Ok(path.to_path_buf()),
        None => ProjectDirs::from("", "", "middlecut")
            .map(|folders| folders.data_dir().to_path_buf())
            .ok_or(CliError::NoHome),
    }
}

/// A run of the record.
pub(super) fn run(data: &Path, id: &str) -> Result<(String, RunFolder), CliError> {
    let folder = Store::open_read_only(data)?.run(&RunId::new(id))?.folder();
    Ok((id.to_owned(), folder))
}

/// The newest run of the record in which a jar was filled.
pub(super) fn last_run(data: &Path) -> Result<RunFolder, CliError> {
    last_run_of(data).map(|(_, folder)| folder)
}

/// The same with its id.
pub(super) fn last_run_of(data: &Path) -> Result<(String, RunFolder), CliError> {
    let store = Store::open_read_only(data)?;
    for run in store.runs(false)?.iter().rev() {
        let folder = store.run(&run.id)?.folder();
        if !folder.rows.jars.is_empty() {
            return Ok((run.id.to_string(), folder));
        }
    }
    Err(CliError::NoJars { run: "the record".to_owned(), what: "was filled".to_owned() })
}
