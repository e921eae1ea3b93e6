//! A table of a run: a header that names known columns, rows of cells.

use std::path::{Path, PathBuf};

use quantities::parse_decimal;

use super::error::FolderError;
use super::limits::{LINE_BYTES_MAX, ROWS_MAX};
use super::reader::{Bounded, MARK, Refusal};
use crate::rows::RowFault;

/// A table being read.
pub(super) struct Table {
    path: PathBuf,
    records: Records,
    known: &'static [&'static str],
    /// Place in `known` of each cell of a row.
    columns: Vec<usize>,
    rows: usize,
}

/// One row: cells in the order of the known columns.
pub(super) struct Row {
    cells: Vec<Option<String>>,
    known: &'static [&'static str],
}

/// The records of a file, with the line on which each begins.
struct Records {
    path: PathBuf,
    reader: csv::Reader<Bounded>,
    record: csv::ByteRecord,
}

impl Records {
    fn over(path: &Path, source: Bounded) -> Self {
        // Uneven rows are refused here, by name of file and line.
        let reader =
            csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(source);
        Self { path: path.to_owned(), reader, record: csv::ByteRecord::new() }
    }

    /// The next record with the number of its first line, blank lines left out.
    fn next(&mut self) -> Result<Option<(usize, Vec<String>)>, FolderError> {
        let read = self.reader.read_byte_record(&mut self.record);
        let more = read.map_err(|error| self.refused(error))?;
        let end = self.reader.position().byte();
        let end_line = self.reader.get_mut().record(end);
        let within = self.record.iter().flatten().filter(|&&byte| byte == b'\n').count();
        let line = end_line.saturating_sub(within).max(1);
        let is_mark = self.record.len() == 1 && self.record.get(0) == Some(MARK);
        if !more || is_mark {
            return Ok(None);
        }
        let file = || self.path.clone();
        if self.record.as_slice().len() > LINE_BYTES_MAX {
            return Err(FolderError::TooLong { file: file(), line, limit: LINE_BYTES_MAX });
        }
        if self.record.as_slice().ends_with(MARK) {
            return Err(FolderError::OpenQuote { file: file(), line });
        }
        let text = |cell: &[u8]| String::from_utf8(cell.to_vec());
        let cells = self.record.iter().map(text).collect::<Result<Vec<_>, _>>();
        let cells = cells.map_err(|_| FolderError::NotText { file: file(), line })?;
        Ok(Some((line, cells)))
    }

    fn refused(&self, error: csv::Error) -> FolderError {
        let file = self.path.clone();
        match self.reader.get_ref().refusal() {
            Some(Refusal::NotText(line)) => FolderError::NotText { file, line },
            Some(Refusal::TooLong(line)) => {
                FolderError::TooLong { file, line, limit: LINE_BYTES_MAX }
            }
            None => FolderError::Io { path: file, source: error.into() },
        }
    }
}

impl Table {
    /// Opens a table and reads its header; none where the file is absent.
    pub(super) fn open(
        path: &Path,
        known: &'static [&'static str],
        needed: &[&'static str],
    ) -> Result<Option<Self>, FolderError> {
        if !path.exists() {
            return Ok(None);
        }
        Self::over(path, Bounded::open(path)?, known, needed).map(Some)
    }

    /// A table from elsewhere, called `path`.
    pub(super) fn over(
        path: &Path,
        source: Bounded,
        known: &'static [&'static str],
        needed: &[&'static str],
    ) -> Result<Self, FolderError> {
        let mut records = Records::over(path, source);
        let header = records.next()?.map(|(_, cells)| cells).unwrap_or_default();
        let refused = |column: &str, what| FolderError::Column {
            file: path.to_owned(),
            column: crate::rows::shown(column),
            what,
            known: known.join(","),
        };
        let mut columns = Vec::new();
        for name in &header {
            let Some(place) = known.iter().position(|column| *column == name.trim()) else {
                return Err(refused(name, "unknown column"));
            };
            if columns.contains(&place) {
                return Err(refused(name, "stands twice"));
            }
            columns.push(place);
        }
        for name in needed {
            if !header.iter().any(|column| column.trim() == *name) {
                return Err(refused(name, "this column is missing"));
            }
        }
        Ok(Self { path: path.to_owned(), records, known, columns, rows: 0 })
    }

    /// The next row with its line number.
    pub(super) fn next(&mut self) -> Result<Option<(usize, Row)>, FolderError> {
        let Some((line, found)) = self.records.next()? else { return Ok(None) };
        self.rows += 1;
        if self.rows > ROWS_MAX {
            return Err(FolderError::TooManyRows { file: self.path.clone(), limit: ROWS_MAX });
        }
        if found.len() != self.columns.len() {
            return Err(FolderError::CellCount {
                file: self.path.clone(),
                line,
                found: found.len(),
                expected: self.columns.len(),
            });
        }
        let mut row = Row { cells: vec![None; self.known.len()], known: self.known };
        for (&place, cell) in self.columns.iter().zip(found) {
            row.cells[place] = Some(cell);
        }
        Ok(Some((line, row)))
    }

    /// A refused cell with its file and line.
    pub(super) fn refuse(&self, line: usize, fault: RowFault) -> FolderError {
        FolderError::Row { file: self.path.clone(), line, fault: Box::new(fault) }
    }
}

impl Row {
    /// How many columns there can be.
    pub(super) const fn columns(&self) -> usize {
        self.known.len()
    }

    /// The text of a column; empty where it is absent.
    pub(super) fn text(&self, place: usize) -> &str {
        self.cells[place].as_deref().unwrap_or_default()
    }

    /// The number of a column; none where the cell is empty.
    pub(super) fn number(&self, place: usize) -> Result<Option<f64>, RowFault> {
        let text = self.text(place).trim();
        if text.is_empty() {
            return Ok(None);
        }
        parse_decimal(text).map(Some).map_err(|error| {
            let hint =
                "write a decimal point and no unit; leave the cell empty where nothing was read";
            let bound = match error {
                quantities::ParseNumber::NotFinite(_) => "must be a finite number",
                _ => "must be a number",
            };
            RowFault::new(self.known[place], text, bound, hint)
        })
    }

    /// The number of a column that must have one.
    pub(super) fn needed(&self, place: usize) -> Result<f64, RowFault> {
        self.number(place)?.ok_or_else(|| {
            RowFault::new(self.known[place], "", "must not be empty", "every row needs this cell")
        })
    }
}
