//! Run folders of one still, in the order in which they were run.

use std::path::{Path, PathBuf};

use still::plan::Still;
use store::folder::RunFolder;

use crate::error::CliError;

/// Most runs of one still that are taken at a time.
const RUNS_MAX: usize = 1000;

/// Reads the folders; each must be there once, and the still of the first must be in all.
pub(super) fn read(folders: &[PathBuf]) -> Result<Vec<RunFolder>, CliError> {
    if let Some(dir) = folders.get(RUNS_MAX) {
        return Err(unfit(
            dir,
            format!("run {}: at most {RUNS_MAX} are taken at a time", RUNS_MAX + 1),
            "name fewer run folders",
        ));
    }
    let mut runs: Vec<RunFolder> = Vec::with_capacity(folders.len());
    for (at, dir) in folders.iter().enumerate() {
        let run = store::folder::read_record(dir)?;
        if let Some(twin) = runs.iter().position(|other| is_same_run(other, &run)) {
            let first = folders[twin].display();
            return Err(unfit(
                &folders[at],
                format!("the run \"{}\" of {} is in {first} too", run.plan.title, run.plan.start),
                "name every run once: twice it would count as two runs",
            ));
        }
        if let Some(first) = runs.first() {
            check_still(&first.plan.still, &run.plan.still, dir)?;
        }
        runs.push(run);
    }
    Ok(runs)
}

/// Whether two folders hold the same run.
pub(super) fn is_same_run(one: &RunFolder, other: &RunFolder) -> bool {
    one.plan.start == other.plan.start && one.plan.title == other.plan.title
}

/// Refuses a still that cannot be the other one: of another kind or another size.
pub(super) fn check_still(first: &Still, other: &Still, dir: &Path) -> Result<(), CliError> {
    let hint = "name only runs of one still; another still has another character";
    let what = if first.kind != other.kind {
        format!("still.kind is {}: it must be {}", kind(other), kind(first))
    } else if first.boiler_litres.to_bits() != other.boiler_litres.to_bits() {
        format!(
            "still.boiler_litres is {}: it must be {}, as in the other runs",
            other.boiler_litres, first.boiler_litres
        )
    } else {
        return Ok(());
    };
    Err(unfit(&dir.join("run.toml"), what, hint))
}

const fn kind(still: &Still) -> &'static str {
    match still.kind {
        still::plan::StillKind::Pot => "pot",
        still::plan::StillKind::Column => "column",
    }
}

fn unfit(file: &Path, what: String, hint: &str) -> CliError {
    CliError::Unfit { file: file.to_path_buf(), line: None, what, hint: hint.to_owned() }
}
