//! Small text files, read whole within a bound.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use super::FolderError;

/// What some editors put before the first letter.
const BYTE_ORDER_MARK: char = '\u{feff}';

/// Reads a small text file whole, without its byte-order mark.
pub(super) fn read_small(path: &Path, limit: usize) -> Result<String, FolderError> {
    let file = File::open(path).map_err(|source| FolderError::io(path, source))?;
    let mut bytes = Vec::new();
    let most = u64::try_from(limit).unwrap_or(u64::MAX).saturating_add(1);
    file.take(most).read_to_end(&mut bytes).map_err(|source| FolderError::io(path, source))?;
    if bytes.len() > limit {
        return Err(FolderError::TooLong { file: path.to_owned(), line: 1, limit });
    }
    unmarked(path, bytes)
}

/// The text of a small file without its byte-order mark.
pub(super) fn unmarked(path: &Path, bytes: Vec<u8>) -> Result<String, FolderError> {
    let text = text(path, bytes)?;
    Ok(text.strip_prefix(BYTE_ORDER_MARK).map(ToOwned::to_owned).unwrap_or(text))
}

/// Bytes as text; a NUL is no text either.
fn text(path: &Path, bytes: Vec<u8>) -> Result<String, FolderError> {
    let refused = |sound: &[u8]| {
        let line = sound.split(|&byte| byte == b'\n').count();
        Err(FolderError::NotText { file: path.to_owned(), line })
    };
    match String::from_utf8(bytes) {
        Ok(text) => match text.find('\0') {
            Some(at) => refused(&text.as_bytes()[..at]),
            None => Ok(text),
        },
        Err(error) => refused(&error.as_bytes()[..error.utf8_error().valid_up_to()]),
    }
}
