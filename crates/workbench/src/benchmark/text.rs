//! Scores as text on a terminal.

use std::fmt::Write as _;

use comfy_table::{CellAlignment, ContentArrangement, Table, presets};

use super::report::Report;
use super::tables;

/// The whole of it.
pub(super) fn write(report: &Report) -> String {
    let mut text = format!(
        "{} runs, {} series, {} forecasts scored\n",
        report.runs, report.series, report.forecasts
    );
    for table in tables::all(report) {
        let rows = columns(table.header, table.rows);
        let _ = write!(text, "\n{}\n{}\n{rows}\n", table.title, table.words);
    }
    text
}

/// Aligned columns: the first to the left, numbers to the right.
fn columns(header: Vec<String>, rows: Vec<Vec<String>>) -> String {
    let mut table = Table::new();
    table
        .load_style(presets::NOTHING)
        .set_content_arrangement(ContentArrangement::Disabled)
        .set_header(header)
        .add_rows(rows);
    for column in table.column_iter_mut() {
        column.set_padding((0, 2));
        if column.index > 0 {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    table.trim_fmt()
}

#[cfg(test)]
mod tests {
    use super::columns;

    #[test]
    fn numbers_stand_to_the_right() {
        let rows = vec![vec!["a".into(), "0.00".into()], vec!["run b".into(), "1200".into()]];
        assert_eq!(
            columns(vec!["step".into(), "mL".into()], rows),
            "step     mL\na      0.00\nrun b  1200"
        );
    }
}
