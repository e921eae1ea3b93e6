//! Reading the reference tables of this crate.

use std::collections::HashMap;

/// One row of a table, by the names of its columns.
pub(crate) struct Row(HashMap<String, String>);

impl Row {
    /// A cell as text.
    pub(crate) fn text(&self, column: &str) -> &str {
        &self.0[column]
    }

    /// A cell as a number.
    pub(crate) fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("{column} is {text:?} in {:?}", self.0))
    }

    /// Holds `found` against the cell of `column`, within the tolerance in another.
    #[track_caller]
    pub(crate) fn holds(&self, column: &str, found: f64, tolerance: &str) {
        self.holds_within(column, found, self.number(tolerance));
    }

    /// Holds `found` against the cell of `column`, within a tolerance.
    #[track_caller]
    pub(crate) fn holds_within(&self, column: &str, found: f64, tolerance: f64) {
        let miss = (found - self.number(column)).abs();
        // A row may hit its tolerance exactly: the printed figures are decimal.
        assert!(miss <= tolerance * (1.0 + 1e-9), "{column}: {found}, off by {miss}: {:?}", self.0);
    }
}

/// Every row of a table; the count is named so that no test passes on an empty file.
#[track_caller]
pub(crate) fn rows(table: &str, count: usize) -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let rows: Vec<Row> = reader.deserialize().map(|row| Row(row.expect("a row"))).collect();
    assert_eq!(rows.len(), count, "rows in the table");
    rows
}
