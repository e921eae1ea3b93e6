//! A file read within bounds: no record longer than a real one, no NUL, and where each line begins.

use std::collections::VecDeque;
use std::fs::File;
use std::io::Read;
use std::path::Path;

use super::error::FolderError;
use super::limits::LINE_BYTES_MAX;

/// Stands behind the last byte, as a record of its own. A table whose last record is another one
/// has a quoted cell that is never closed; no file can hold it itself, for it is no text.
pub(super) const MARK: &[u8] = b"\0";

/// Why no more bytes come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Refusal {
    /// A NUL stands on that line.
    NotText(usize),
    /// The record that began on that line does not end.
    TooLong(usize),
}

/// The bytes of a file with [`MARK`] behind them.
pub(super) struct Bounded {
    source: Box<dyn Read>,
    /// Bytes given so far.
    given: u64,
    /// Where the last whole record ended.
    record_end: u64,
    /// Offsets of the line ends that no record has passed yet.
    line_ends: VecDeque<u64>,
    /// Line ends that records have passed.
    lines: usize,
    /// What of the mark was given; none before the end of the file.
    marked: Option<usize>,
    refusal: Option<Refusal>,
}

impl Bounded {
    /// Opens a file.
    pub(super) fn open(path: &Path) -> Result<Self, FolderError> {
        let file = File::open(path).map_err(|source| FolderError::io(path, source))?;
        Ok(Self::over(Box::new(file)))
    }

    /// Reads from elsewhere.
    pub(super) fn over(source: Box<dyn Read>) -> Self {
        Self {
            source,
            given: 0,
            record_end: 0,
            line_ends: VecDeque::new(),
            lines: 0,
            marked: None,
            refusal: None,
        }
    }

    /// Why no more bytes came.
    pub(super) const fn refusal(&self) -> Option<Refusal> {
        self.refusal
    }

    /// Tells that a record ended before byte `end`, and gives the number (from 1) of the line on
    /// which it ended.
    pub(super) fn record(&mut self, end: u64) -> usize {
        self.record_end = end;
        let last = end.saturating_sub(1);
        let line = self.lines + self.line_ends.partition_point(|&at| at < last) + 1;
        let passed = self.line_ends.partition_point(|&at| at < end);
        self.line_ends.drain(..passed);
        self.lines += passed;
        line
    }

    /// The line on which the record that is being read began, blank lines before it included.
    const fn line(&self) -> usize {
        self.lines + 1
    }

    fn look(&mut self, bytes: &[u8]) -> Option<Refusal> {
        for (offset, byte) in (self.given..).zip(bytes) {
            match byte {
                b'\n' => self.line_ends.push_back(offset),
                0 => return Some(Refusal::NotText(self.lines + self.line_ends.len() + 1)),
                _ => {}
            }
        }
        self.given += bytes.len() as u64;
        let open = self.given - self.record_end;
        // What was read ahead belongs to later records: they count from the end of the last one.
        (open > LINE_BYTES_MAX as u64 + READ_AHEAD).then(|| Refusal::TooLong(self.line()))
    }
}

/// Most bytes that are given at a time.
const READ_AHEAD: u64 = 1 << 16;

impl Read for Bounded {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        if self.refusal.is_some() {
            return Err(std::io::Error::other("refused"));
        }
        let most = usize::try_from(READ_AHEAD).unwrap_or(usize::MAX).min(buffer.len());
        if self.marked.is_none() {
            let read = self.source.read(&mut buffer[..most])?;
            if read > 0 {
                self.refusal = self.look(&buffer[..read]);
                return match self.refusal {
                    Some(_) => Err(std::io::Error::other("refused")),
                    None => Ok(read),
                };
            }
            self.marked = Some(0);
        }
        // A line end first, so that the mark is a record of its own.
        let end: Vec<u8> = [b"\n", MARK].concat();
        let given = self.marked.unwrap_or(end.len());
        let rest = &end[given..];
        let read = rest.len().min(most);
        buffer[..read].copy_from_slice(&rest[..read]);
        self.marked = Some(given + read);
        Ok(read)
    }
}
