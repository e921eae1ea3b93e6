//! A small comma-separated table with named columns, whose every fault names file, line and field.

use std::path::{Path, PathBuf};

use crate::error::BenchError;

/// Most rows.
const ROWS_MAX: usize = 200_000;

/// A table in memory.
#[derive(Debug)]
pub(super) struct Table {
    file: PathBuf,
    header: Vec<String>,
    rows: Vec<(u64, csv::StringRecord)>,
}

/// One row of it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row<'a> {
    table: &'a Table,
    line: u64,
    cells: &'a csv::StringRecord,
}

impl Table {
    /// Reads a file that must have the `needed` columns and may have the `further`.
    pub(super) fn read(file: &Path, needed: &[&str], further: &[&str]) -> Result<Self, BenchError> {
        let unfit = |why: &csv::Error| BenchError::Unfit {
            file: file.to_path_buf(),
            line: why.position().map(csv::Position::line),
            what: why.to_string(),
            hint: format!("a table of text with the columns {}", needed.join(",")),
        };
        let mut reader = csv::Reader::from_path(file).map_err(|why| unfit(&why))?;
        let header: Vec<String> = reader
            .headers()
            .map_err(|why| unfit(&why))?
            .iter()
            .map(|name| name.trim().to_owned())
            .collect();
        let mut table = Self { file: file.to_path_buf(), header, rows: Vec::new() };
        let hint = format!("the columns are {}", needed.join(","));
        if let Some(missing) = needed.iter().find(|name| table.place(name).is_none()) {
            return Err(table.refused(&format!("column {missing} is missing"), &hint));
        }
        let is_known =
            |name: &String| needed.contains(&name.as_str()) || further.contains(&name.as_str());
        if let Some(unknown) = table.header.iter().find(|name| !is_known(name)) {
            return Err(table.refused(&format!("column {unknown} is not known"), &hint));
        }
        for record in reader.records() {
            let record = record.map_err(|why| unfit(&why))?;
            let line = record.position().map_or(0, csv::Position::line);
            table.rows.push((line, record));
            if table.rows.len() > ROWS_MAX {
                return Err(table
                    .refused(&format!("more than {ROWS_MAX} rows"), "check which file was given"));
            }
        }
        Ok(table)
    }

    /// Every row in order.
    pub(super) fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|(line, cells)| Row { table: self, line: *line, cells })
    }

    /// An error about the whole table.
    pub(super) fn refused(&self, what: &str, hint: &str) -> BenchError {
        BenchError::Unfit {
            file: self.file.clone(),
            line: None,
            what: what.to_owned(),
            hint: hint.to_owned(),
        }
    }

    fn place(&self, column: &str) -> Option<usize> {
        self.header.iter().position(|name| name == column)
    }
}

impl<'a> Row<'a> {
    /// The cell as it stands; empty where the column is not there.
    pub(super) fn text(&self, column: &str) -> &'a str {
        self.table.place(column).and_then(|place| self.cells.get(place)).map_or("", str::trim)
    }

    /// A number that must be there.
    pub(super) fn number(&self, column: &str) -> Result<f64, BenchError> {
        self.number_if_any(column)?
            .ok_or_else(|| self.refused(column, "", "must be a number", "fill the cell in"))
    }

    /// A number, or nothing where the cell is empty.
    pub(super) fn number_if_any(&self, column: &str) -> Result<Option<f64>, BenchError> {
        let text = self.text(column);
        if text.is_empty() {
            return Ok(None);
        }
        let number = text.parse::<f64>().ok().filter(|number| number.is_finite());
        let refused = || {
            self.refused(
                column,
                text,
                "must be a number",
                "with a decimal point and no separator of thousands",
            )
        };
        number.map(Some).ok_or_else(refused)
    }

    /// An error about one cell.
    pub(super) fn refused(&self, column: &str, value: &str, bound: &str, hint: &str) -> BenchError {
        BenchError::Unfit {
            file: self.table.file.clone(),
            line: Some(self.line),
            what: format!("{column} is \"{value}\": it {bound}"),
            hint: hint.to_owned(),
        }
    }
}
