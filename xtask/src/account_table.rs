//! `cargo xtask account-table`: what the account costs as it grows, written to its page.

use std::path::Path;

use crate::command::{ChoreError, Done, cargo, output};

/// Where the page stands.
const PAGE: &str = "docs/benchmark/account.md";
/// What stands above the table.
const HEAD: &str = "# What the account costs as it grows

Made by `cargo xtask account-table`: books of a house that makes batch after batch, carries its feints into the next charge and its hearts through one cask that is never empty, so that the first jar is in everything after it: the farthest a recall reaches. Times are processor time on the machine of the run, the slowest of five answers, told in steps of some milliseconds; *open and read* is what the first question of a process takes, all later ones are answered from what it read. Bounds: recall both ways 100 ms, balance 200 ms, file 60 MB at 100 000 entries; ten times the entries, about ten times the cost.

";

/// Measures, and writes the page.
pub(crate) fn run_account_table(root: &Path) -> Done {
    let bench = ["bench", "--quiet", "-p", "store", "--bench", "account"];
    let table = output(&mut cargo(root, &bench))?;
    let path = root.join(PAGE);
    std::fs::write(&path, format!("{HEAD}{table}")).map_err(|why| ChoreError::File { path, why })
}
