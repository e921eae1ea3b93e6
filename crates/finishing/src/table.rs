//! The tables of this crate: lines of cells apart by commas, comments behind `#`, the last cell free
//! text.

/// The rows of a table: `cells` cells each, the last with whatever commas it holds; the first row
/// names the columns and is left out.
pub(crate) fn rows(text: &'static str, cells: usize) -> impl Iterator<Item = Vec<&'static str>> {
    text.lines()
        .map(str::trim)
        .filter(|line| !line.is_empty() && !line.starts_with('#'))
        .skip(1)
        .map(move |line| line.splitn(cells, ',').map(str::trim).collect::<Vec<_>>())
        .filter(move |row| row.len() == cells)
}

/// A number of a table; a cell that is none reads as nothing.
pub(crate) fn number(cell: &str) -> Option<f64> {
    cell.parse().ok()
}
