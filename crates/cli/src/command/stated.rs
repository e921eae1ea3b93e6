//! What the record states of a still: values that a calibration of its runs gave.

use std::path::Path;

use still::plan::Still;
use store::Store;

use super::data;
use crate::args::StatedArgs;
use crate::error::CliError;

/// Puts the values of the record into a still, where that was asked for, and gives them.
pub(super) fn put_into(
    still: &mut Still,
    asked: &StatedArgs,
) -> Result<Option<store::StillCalibration>, CliError> {
    if !asked.calibrated {
        return Ok(None);
    }
    let dir = data::folder(asked.data.as_deref())?;
    let found = in_record(&dir, &still.name)?;
    found.put_into(still);
    Ok(Some(found))
}

fn in_record(dir: &Path, name: &str) -> Result<store::StillCalibration, CliError> {
    let store = Store::open_read_only(dir)?;
    store
        .calibrated(name)?
        .ok_or_else(|| CliError::NotCalibrated { still: name.to_owned(), dir: dir.to_path_buf() })
}
