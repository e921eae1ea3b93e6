//! Files that an option or argument names: written, or said why not.

use std::path::Path;

use crate::error::CliError;

/// Writes text to a file that an option or argument named.
pub(super) fn write_file(option: &'static str, path: &Path, text: &str) -> Result<(), CliError> {
    write_bytes(option, path, text.as_bytes())
}

/// Writes bytes to a file that an option or argument named.
pub(super) fn write_bytes(option: &'static str, path: &Path, bytes: &[u8]) -> Result<(), CliError> {
    std::fs::write(path, bytes).map_err(|why| CliError::Write {
        option,
        path: path.to_path_buf(),
        why,
    })
}
