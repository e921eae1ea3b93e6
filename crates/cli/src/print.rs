//! What goes to standard output: aligned text with spaced units, or one JSON object.

use std::io::{self, Write};

use comfy_table::{CellAlignment, ContentArrangement, Table, presets};
use serde::Serialize;

/// Writes text and ends quietly where nobody reads any more.
pub(crate) fn text(text: &str) -> io::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())?;
    out.flush()
}

/// Writes one JSON object and a line end.
pub(crate) fn json(value: &impl Serialize) -> io::Result<()> {
    let mut line = serde_json::to_string_pretty(value)?;
    line.push('\n');
    text(&line)
}

/// Something a person should mind; it changes no exit code.
#[derive(Debug, Serialize)]
pub(crate) struct Warning {
    /// Which.
    pub(crate) code: &'static str,
    /// In words.
    pub(crate) text: String,
}

/// Label, number and unit, in three columns.
#[derive(Debug, Default)]
pub(crate) struct Sheet {
    lines: Vec<Line>,
}

#[derive(Debug)]
enum Line {
    Value { label: &'static str, number: String, unit: String },
    Remark(String),
}

impl Sheet {
    /// An empty sheet.
    pub(crate) fn new() -> Self {
        Self::default()
    }

    /// Adds a value with that many decimals.
    pub(crate) fn row(&mut self, label: &'static str, value: f64, decimals: usize, unit: &str) {
        self.word(label, number(value, decimals), unit);
    }

    /// Adds a value that is already text.
    pub(crate) fn word(&mut self, label: &'static str, number: String, unit: &str) {
        self.lines.push(Line::Value { label, number, unit: unit.to_owned() });
    }

    /// Adds a line of words.
    pub(crate) fn remark(&mut self, words: impl Into<String>) {
        self.lines.push(Line::Remark(words.into()));
    }
}

impl std::fmt::Display for Sheet {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let of_values =
            |measure: fn(&Line) -> usize| self.lines.iter().map(measure).max().unwrap_or(0);
        let label_width = of_values(|line| match line {
            Line::Value { label, .. } => label.chars().count(),
            Line::Remark(_) => 0,
        });
        let whole_width = of_values(|line| match line {
            Line::Value { number, .. } => whole_part(number),
            Line::Remark(_) => 0,
        });
        for line in &self.lines {
            match line {
                Line::Value { label, number, unit } => {
                    let lead = whole_width - whole_part(number);
                    writeln!(out, "{label:<label_width$}  {:lead$}{number} {unit}", "")?;
                }
                Line::Remark(words) => writeln!(out, "{words}")?,
            }
        }
        Ok(())
    }
}

/// Characters before the decimal point.
fn whole_part(number: &str) -> usize {
    number.split('.').next().unwrap_or_default().chars().count()
}

/// A number with that many decimals, never "-0.00".
pub(crate) fn number(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let is_zero = text.trim_start_matches('-').chars().all(|c| matches!(c, '0' | '.'));
    if is_zero { text.trim_start_matches('-').to_owned() } else { text }
}

/// Run time as hours and minutes, `1:05`.
pub(crate) fn clock(seconds: f64) -> String {
    let minutes = (seconds / 60.0).round().max(0.0);
    let hours = (minutes / 60.0).floor();
    format!("{hours:.0}:{:02.0}", minutes - 60.0 * hours)
}

/// Rows of cells, each column as wide as its widest cell; the first column to the left.
pub(crate) fn columns(rows: &[Vec<String>]) -> String {
    let mut table = Table::new();
    table.load_style(presets::NOTHING).set_content_arrangement(ContentArrangement::Disabled);
    table.add_rows(rows);
    for (index, column) in table.column_iter_mut().enumerate() {
        let (before, side) =
            if index == 0 { (0, CellAlignment::Left) } else { (2, CellAlignment::Right) };
        column.set_padding((before, 0)).set_cell_alignment(side);
    }
    table.lines().map(|line| line.trim_end().to_owned() + "\n").collect()
}

#[cfg(test)]
mod tests {
    use super::{Sheet, clock, columns, number};

    #[test]
    fn decimal_points_stand_under_each_other() {
        let mut sheet = Sheet::new();
        sheet.row("strength", 40.0, 2, "% vol");
        sheet.row("density", 948.05, 2, "kg/m³");
        assert_eq!(sheet.to_string(), "strength   40.00 % vol\ndensity   948.05 kg/m³\n");
    }

    #[test]
    fn nothing_is_minus_nothing() {
        assert_eq!(number(-0.001, 2), "0.00");
        assert_eq!(number(-0.1, 1), "-0.1");
    }

    #[test]
    fn minutes_carry_into_hours() {
        assert_eq!(clock(3599.0), "1:00");
        assert_eq!(clock(59.0 * 60.0), "0:59");
    }

    #[test]
    fn columns_align() {
        let rows = [vec!["step".into(), "mL".into()], vec!["a".into(), "1200".into()]];
        assert_eq!(columns(&rows), "step    mL\na     1200\n");
    }
}
