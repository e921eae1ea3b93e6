//! Which moment of a run was asked for: seconds of the run, or a share of its hearts.

use std::path::Path;

use serde::Deserialize;
use store::folder::RunFolder;

use crate::error::CliError;

/// How long after the last row a moment may lie, s: rows come every few seconds to minutes, and a
/// probe may have been away for a while.
const AFTER_LAST_ROW_S: f64 = 3600.0;

/// One moment of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Moment {
    /// Share of the hearts, where that was asked for.
    pub(super) at_fraction: Option<f64>,
    /// Run time, s.
    pub(super) made_at_s: f64,
}

/// When hearts began and really ended, run time in s.
#[derive(Debug, Deserialize)]
struct Hearts {
    hearts_start_s: f64,
    end_of_hearts_s: f64,
}

/// Below 1 a share of the hearts, else seconds from heater on.
pub(super) fn choose(at: f64, dir: &Path, folder: &RunFolder) -> Result<Moment, CliError> {
    let refused = |bound: String, hint: &str| CliError::Value {
        option: "--at",
        value: at,
        bound,
        hint: hint.to_owned(),
    };
    if at < 0.0 {
        let hint =
            "give seconds from heater on, as --at 7200, or a share of the hearts, as --at 0.5";
        return Err(refused("must not be negative".to_owned(), hint));
    }
    if at < 1.0 {
        let hearts = hearts(at, dir, folder)?;
        let lasted_s = hearts.end_of_hearts_s - hearts.hearts_start_s;
        let made_at_s = (hearts.hearts_start_s + at * lasted_s).floor();
        return Ok(Moment { at_fraction: Some(at), made_at_s });
    }
    let last_s = folder.rows.last_s();
    if at > last_s + AFTER_LAST_ROW_S {
        let bound = format!("must lie within an hour after the last row, which is of {last_s} s");
        return Err(refused(bound, "nothing is known of a moment so long after the record"));
    }
    Ok(Moment { at_fraction: None, made_at_s: at })
}

fn hearts(at: f64, dir: &Path, folder: &RunFolder) -> Result<Hearts, CliError> {
    let unfit = |what: String| CliError::Unfit {
        file: dir.join("outcome.json"),
        line: None,
        what,
        hint: "a share of the hearts takes hearts_start_s and end_of_hearts_s from outcome.json; \
               give seconds from heater on instead, as --at 7200"
            .to_owned(),
    };
    let Some(outcome) = &folder.outcome else {
        return Err(unfit(format!(
            "--at {at} is a share of the hearts, and the file is not there"
        )));
    };
    let hearts = Hearts::deserialize(outcome).map_err(|why| unfit(why.to_string()))?;
    if hearts.hearts_start_s >= 0.0 && hearts.end_of_hearts_s > hearts.hearts_start_s {
        return Ok(hearts);
    }
    Err(unfit(format!(
        "end_of_hearts_s is {}: it must be later than hearts_start_s, which is {} and must not be negative",
        hearts.end_of_hearts_s, hearts.hearts_start_s
    )))
}
