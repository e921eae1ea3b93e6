//! What of a run's own entries is refused before it is written.

use super::entry::StoredEnd;
use super::lesson::check_character;
use super::new_run::{NewRun, RunMode};
use crate::error::StoreError;
use crate::rows::check_time;

pub(super) fn check_opened(run: &NewRun) -> Result<(), StoreError> {
    run.plan.check()?;
    run.character.as_ref().map_or(Ok(()), check_character)?;
    match run.mode {
        RunMode::Rehearsal { speed, .. } => check_speed(speed),
        RunMode::Real | RunMode::Imported => Ok(()),
    }
}

pub(super) fn check_speed(speed: f64) -> Result<(), StoreError> {
    if (0.0..=10_000.0).contains(&speed) {
        return Ok(());
    }
    let bound = "must lie from 0 (halted) to 10000";
    Err(StoreError::Entry { field: "speed", value: speed.to_string(), bound })
}

pub(super) fn check_end(end: &StoredEnd) -> Result<(), StoreError> {
    check_time("time_s", end.time_s)?;
    let sums = [("litres_20c", end.litres_20c), ("pure_alcohol_l", end.pure_alcohol_l)];
    for (field, value) in sums {
        if !value.is_finite() {
            let bound = "must be a finite number";
            return Err(StoreError::Entry { field, value: value.to_string(), bound });
        }
    }
    Ok(())
}
