//! Where results go: files that an option named, and standard output.

use std::io::Write as _;
use std::path::Path;

use crate::error::BenchError;

/// Writes a file that an option named.
pub(crate) fn write_file(option: &'static str, path: &Path, text: &str) -> Result<(), BenchError> {
    let failed = |why| BenchError::Write { option, path: path.to_path_buf(), why };
    std::fs::write(path, text).map_err(failed)
}

/// Writes text to standard output.
pub(crate) fn print(text: &str) -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    out.write_all(text.as_bytes())?;
    out.flush()
}
