//! Keeps what was found in the record, as what is stated of the still from now on.

use std::path::PathBuf;

use server::Clock;
use store::folder::RunFolder;
use store::{StillCalibration, Store};

use crate::args::CalibrateArgs;
use crate::command::data;
use crate::error::CliError;

/// Refuses runs of which the record could not say under which name to keep the values.
pub(super) fn check(args: &CalibrateArgs, runs: &[RunFolder]) -> Result<(), CliError> {
    let Some(first) = runs.first().filter(|_| args.store) else { return Ok(()) };
    let name = &first.plan.still.name;
    let other = runs.iter().position(|run| run.plan.still.name != *name);
    other.map_or(Ok(()), |at| {
        let found = &runs[at].plan.still.name;
        Err(CliError::Unfit {
            file: args.folders[at].join("run.toml"),
            line: None,
            what: format!(
                "still.name is \"{found}\": it must be \"{name}\", under which the values are kept"
            ),
            hint: "name runs of one still, or leave out --store".to_owned(),
        })
    })
}

/// Keeps the values; gives the folder of the record.
pub(super) fn keep(
    args: &CalibrateArgs,
    runs: &[RunFolder],
    found: &estimate::Calibration,
) -> Result<Option<PathBuf>, CliError> {
    if !args.store {
        return Ok(None);
    }
    let dir = data::folder(args.data.as_deref())?;
    let Some(first) = runs.first() else { return Ok(None) };
    let from = |run: &RunFolder| (run.plan.title.clone(), run.plan.start.clone());
    let from: Vec<_> = runs.iter().map(from).collect();
    let calibration = StillCalibration::new(found, &first.plan.still, &from);
    Store::open(&dir)?.calibrate(&calibration, Clock::default().now_ms())?;
    Ok(Some(dir))
}
