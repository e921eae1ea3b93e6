//! `cargo xtask calibrate`: writes what runs teach whose end is known into the estimate.

use std::path::Path;

use crate::command::{ChoreError, Done, cargo, run};

/// What the estimate takes from such runs.
const LEARNED: &str = "crates/estimate/src/learned.rs";

/// Forecasts all recordings below the folders, 3 minutes for 180 of them on two cores.
pub(crate) fn run_calibrate(root: &Path, folders: &[&str]) -> Done {
    if folders.is_empty() {
        let given = "calibrate without a folder".to_owned();
        return Err(ChoreError::Option { given, allowed: "folders of recordings".to_owned() });
    }
    let program = ["run", "--release", "--quiet", "-p", "workbench", "--", "calibrate"];
    run(&mut cargo(root, &[&program[..], folders, &["--into", LEARNED]].concat()))?;
    run(&mut cargo(root, &["fmt", "-p", "estimate"]))
}
