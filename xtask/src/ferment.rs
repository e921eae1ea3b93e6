//! `cargo xtask ferment FOLDER`: how well washes are foreseen and what it costs, written to the page.

use std::path::Path;

use crate::command::{ChoreError, Done, cargo, output};

/// Where the page stands.
const PAGE: &str = "docs/benchmark/ferment.md";
/// What stands above the tables.
const HEAD: &str = include_str!("ferment_head.md");
/// What stands between the scores and the cost.
const COST: &str = include_str!("ferment_cost.md");

/// Forecasts, scores, measures, and writes the page.
pub(crate) fn run_ferment(root: &Path, options: &[&str]) -> Done {
    let [folder] = options else {
        let allowed = "one folder of washes with their outcomes".to_owned();
        return Err(ChoreError::Option {
            given: format!("ferment {}", options.join(" ")),
            allowed,
        });
    };
    let folder = std::path::absolute(folder)
        .map_err(|why| ChoreError::File { path: (*folder).into(), why })?;
    let folder = folder.display().to_string();
    let washes = ["run", "--release", "--quiet", "-p", "workbench", "--", "washes", &folder];
    let scores = output(&mut cargo(root, &washes))?;
    let bench = ["bench", "--quiet", "-p", "ferment", "--bench", "forecast"];
    let cost = output(&mut cargo(root, &bench))?;
    let text = format!("{HEAD}\n{}\n\n{COST}\n{}\n", scores.trim(), cost.trim());
    let path = root.join(PAGE);
    std::fs::write(&path, text).map_err(|why| ChoreError::File { path, why })
}
