//! Scores as text on a terminal.

use std::fmt::Write as _;

use super::report::Report;
use super::tables;
use crate::print;

/// The whole of it.
pub(super) fn write(report: &Report) -> String {
    let mut text = format!(
        "{} runs, {} series, {} forecasts scored\n",
        report.runs, report.series, report.forecasts
    );
    for table in tables::all(report) {
        let mut rows = vec![table.header];
        rows.extend(table.rows);
        let _ = write!(text, "\n{}\n{}\n{}", table.title, table.words, print::columns(&rows));
    }
    text
}
