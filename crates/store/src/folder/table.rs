//! A table of a run: a header that names known columns, rows of cells.

use std::path::{Path, PathBuf};

use quantities::parse_decimal;

use super::lines::Records;
use super::{FolderError, ROWS_MAX};
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
        let mut records = Records::open(path)?;
        let header = match records.next()? {
            Some((line, text)) => cells(path, line, &text)?,
            None => Vec::new(),
        };
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
        Ok(Some(Self { path: path.to_owned(), records, known, columns, rows: 0 }))
    }

    /// The next row with its line number.
    pub(super) fn next(&mut self) -> Result<Option<(usize, Row)>, FolderError> {
        let Some((line, text)) = self.records.next()? else { return Ok(None) };
        self.rows += 1;
        if self.rows > ROWS_MAX {
            return Err(FolderError::TooManyRows { file: self.path.clone(), limit: ROWS_MAX });
        }
        let found = cells(&self.path, line, &text)?;
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

/// The cells of one record.
fn cells(path: &Path, line: usize, record: &str) -> Result<Vec<String>, FolderError> {
    if !record.contains('"') {
        return Ok(record.split(',').map(str::to_owned).collect());
    }
    let mut reader =
        csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(record.as_bytes());
    let mut read = csv::StringRecord::new();
    match reader.read_record(&mut read) {
        Ok(true) => Ok(read.iter().map(str::to_owned).collect()),
        _ => Err(FolderError::NotText { file: path.to_owned(), line }),
    }
}
