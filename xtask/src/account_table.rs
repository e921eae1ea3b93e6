//! `cargo xtask account-table`: what the account costs as it grows, written to its page.

use std::path::Path;

use crate::command::{ChoreError, Done, cargo, output};

/// Where the page stands.
const PAGE: &str = "docs/benchmark/account.md";
/// What stands above the table.
const HEAD: &str = "# What the account costs as it grows

Made by `cargo xtask account-table`: books of a house that makes batch after batch, carries its feints into the next charge and its hearts through one cask that is never empty, so that the first jar is in everything after it: the farthest a recall reaches. Times are processor time on the machine of the run, the slowest of five answers, told in steps of some milliseconds. *First* is what the first question of a process takes, with opening the record and taking in the account that lies beside it (`middlecut.account`, [DESIGN.md](../../DESIGN.md)); the balance and both recalls after it are answers to a process that asked before. *Read anew* is the first question where nothing lies beside the record, after a backup was put back say: every entry is read and judged again. Bounds at 100 000 entries: recall both ways 100 ms, balance 200 ms, both of them as the first question too, record with the account beside it 60 MB; ten times the entries, about ten times the cost.

";

/// Measures, and writes the page.
pub(crate) fn run_account_table(root: &Path) -> Done {
    let bench = ["bench", "--quiet", "-p", "store", "--bench", "account"];
    let table = output(&mut cargo(root, &bench))?;
    let path = root.join(PAGE);
    std::fs::write(&path, format!("{HEAD}{table}")).map_err(|why| ChoreError::File { path, why })
}
