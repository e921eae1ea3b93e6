//! `middlecut ferment`: what a wash is doing and what it will become, from its log up to a moment.

mod benchmark;
mod moment;
mod text;
mod wire;

pub(crate) use self::text::write as text;
pub(crate) use self::wire::Wire;
use store::folder::read_wash;

use crate::args::FermentArgs;
use crate::error::CliError;
use crate::print;

/// Reads the wash up to the moment, forecasts, prints.
pub(crate) fn run(args: &FermentArgs, json: bool) -> Result<(), CliError> {
    if let (Some(folder), Some(csv)) = (&args.benchmark, &args.csv) {
        return benchmark::run(folder, args.at.as_ref(), csv);
    }
    let Some(folder) = &args.folder else { return Ok(()) };
    let at_h = moment::typed(&args.at)?;
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
