//! `cargo xtask column`: what a thermometer in the column is worth, written to the page.

use std::path::Path;

use crate::command::{ChoreError, Done, cargo, output};

/// Where the page stands.
const PAGE: &str = "docs/benchmark/column.md";
/// What stands above the tables.
const HEAD: &str = include_str!("column_head.md");
/// How many columns of each kind, and their seed: not the one that widths were chosen by.
const DRAWN: [&str; 4] = ["--count", "60", "--seed", "2026"];

/// Draws, forecasts, scores, and writes the page.
pub(crate) fn run_column(root: &Path, options: &[&str]) -> Done {
    if !options.is_empty() {
        let allowed = "nothing".to_owned();
        return Err(ChoreError::Option { given: format!("column {}", options.join(" ")), allowed });
    }
    let program = ["run", "--release", "--quiet", "-p", "workbench", "--", "column"];
    let tables = output(&mut cargo(root, &[&program[..], &DRAWN[..]].concat()))?;
    let text = format!("{HEAD}\n{}\n", tables.trim());
    let path = root.join(PAGE);
    std::fs::write(&path, text).map_err(|why| ChoreError::File { path, why })
}
