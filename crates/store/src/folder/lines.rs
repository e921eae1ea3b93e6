//! Text files line by line within bounded memory, whatever the file really is.

use std::fs::File;
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};

use super::{FolderError, LINE_BYTES_MAX, ROWS_MAX};

/// Reads a small text file whole.
pub(super) fn read_small(path: &Path, limit: usize) -> Result<String, FolderError> {
    let file = File::open(path).map_err(|source| FolderError::io(path, source))?;
    let mut bytes = Vec::new();
    let most = u64::try_from(limit).unwrap_or(u64::MAX).saturating_add(1);
    file.take(most).read_to_end(&mut bytes).map_err(|source| FolderError::io(path, source))?;
    if bytes.len() > limit {
        return Err(FolderError::TooLong { file: path.to_owned(), line: 1, limit });
    }
    text(path, 1, bytes).map(|text| text.trim_start_matches('\u{feff}').to_owned())
}

/// Bytes as text; a NUL is no text either.
fn text(path: &Path, line: usize, bytes: Vec<u8>) -> Result<String, FolderError> {
    match String::from_utf8(bytes) {
        Ok(text) if !text.contains('\0') => Ok(text),
        Ok(text) => {
            let before = text.split('\0').next().unwrap_or_default();
            let line = line + before.matches('\n').count();
            Err(FolderError::NotText { file: path.to_owned(), line })
        }
        Err(error) => {
            let sound = &error.as_bytes()[..error.utf8_error().valid_up_to()];
            let line = line + sound.split(|&byte| byte == b'\n').count() - 1;
            Err(FolderError::NotText { file: path.to_owned(), line })
        }
    }
}

/// Counts the lines first, so that a file far too long is refused before it fills the memory.
pub(super) fn check_length(path: &Path) -> Result<(), FolderError> {
    let file = File::open(path).map_err(|source| FolderError::io(path, source))?;
    let mut reader = BufReader::with_capacity(1 << 16, file);
    let (mut lines, mut in_line) = (1_usize, 0_usize);
    loop {
        let chunk = reader.fill_buf().map_err(|source| FolderError::io(path, source))?;
        if chunk.is_empty() {
            return Ok(());
        }
        for &byte in chunk {
            in_line += 1;
            if byte == b'\n' {
                lines += 1;
                in_line = 0;
            }
            if in_line > LINE_BYTES_MAX {
                let file = path.to_owned();
                return Err(FolderError::TooLong { file, line: lines, limit: LINE_BYTES_MAX });
            }
        }
        // One line more for the header, one for the end of the last row.
        if lines > ROWS_MAX + 2 {
            return Err(FolderError::TooManyRows { file: path.to_owned(), limit: ROWS_MAX });
        }
        let used = chunk.len();
        reader.consume(used);
    }
}

/// Reads records: lines, or several where a quoted cell goes on over their end.
pub(super) struct Records {
    path: PathBuf,
    reader: BufReader<File>,
    line: usize,
}

impl Records {
    /// Opens a table.
    pub(super) fn open(path: &Path) -> Result<Self, FolderError> {
        check_length(path)?;
        let file = File::open(path).map_err(|source| FolderError::io(path, source))?;
        Ok(Self { path: path.to_owned(), reader: BufReader::new(file), line: 0 })
    }

    /// The next record with the number of its first line, blank lines left out.
    pub(super) fn next(&mut self) -> Result<Option<(usize, String)>, FolderError> {
        loop {
            let mut bytes = Vec::new();
            let first = self.line + 1;
            if !self.append_line(&mut bytes, first)? {
                return Ok(None);
            }
            // Each new line alone is looked at, or a long cell would cost its square.
            let (mut seen, mut open) = (0, false);
            loop {
                open ^= bytes[seen..].iter().fold(false, |open, &byte| open ^ (byte == b'"'));
                seen = bytes.len();
                if !open {
                    break;
                }
                if !self.append_line(&mut bytes, first)? {
                    return Err(FolderError::OpenQuote { file: self.path.clone(), line: first });
                }
            }
            while matches!(bytes.last(), Some(b'\n' | b'\r')) {
                bytes.pop();
            }
            let mut record = text(&self.path, first, bytes)?;
            if first == 1 && record.starts_with('\u{feff}') {
                record.remove(0);
            }
            if !record.is_empty() {
                return Ok(Some((first, record)));
            }
        }
    }

    /// Adds one line to `bytes`; false at the end of the file.
    fn append_line(&mut self, bytes: &mut Vec<u8>, first: usize) -> Result<bool, FolderError> {
        let room = (LINE_BYTES_MAX + 2).saturating_sub(bytes.len());
        let mut limited = self.reader.by_ref().take(room as u64);
        let read = limited
            .read_until(b'\n', bytes)
            .map_err(|source| FolderError::io(&self.path, source))?;
        if bytes.len() > LINE_BYTES_MAX + 1 {
            let file = self.path.clone();
            return Err(FolderError::TooLong { file, line: first, limit: LINE_BYTES_MAX });
        }
        self.line += 1;
        Ok(read > 0)
    }
}
