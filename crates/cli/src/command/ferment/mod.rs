//! `middlecut ferment`: what a wash is doing and what it will become, from its log up to a moment.

mod benchmark;
mod reasons;
mod text;
mod wire;

use store::folder::{WASH_HOURS_MAX, read_wash};

use crate::args::FermentArgs;
use crate::error::CliError;
use crate::print;

/// Reads the wash up to the moment, forecasts, prints.
pub(crate) fn run(args: &FermentArgs, json: bool) -> Result<(), CliError> {
    if let (Some(folder), Some(csv)) = (&args.benchmark, &args.csv) {
        return benchmark::run(folder, args.at.as_ref(), csv);
    }
    let Some(folder) = &args.folder else { return Ok(()) };
    let at_h = moment(&args.at)?;
    let (recipe, log) = read_wash(folder, at_h)?;
    let forecast = ferment::forecast(&recipe, &log, at_h).map_err(|error| CliError::Unfit {
        file: folder.join(store::folder::WASH_FILE),
        line: None,
        what: error.to_string(),
        hint: error.hint.to_owned(),
    })?;
    if json {
        print::json(&wire::Wire::new(&recipe, &log, &forecast))?;
    } else {
        print::text(&text::write(&recipe, &log, &forecast))?;
    }
    Ok(())
}

/// The hours that were typed.
fn moment(text: &str) -> Result<f64, CliError> {
    let bound = || format!("must lie from 0 to {WASH_HOURS_MAX} h");
    let hint = "hours from pitching the yeast, as 72 or 72.5".to_owned();
    match quantities::parse_decimal(text.trim()) {
        Ok(at_h) if (0.0..=WASH_HOURS_MAX).contains(&at_h) => Ok(at_h),
        Ok(value) => Err(CliError::Value { option: "--at", value, bound: bound(), hint }),
        Err(error) => Err(CliError::NoNumber { option: "--at", what: error.to_string(), hint }),
    }
}
