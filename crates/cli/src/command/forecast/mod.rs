//! `middlecut forecast`: simulates the plan of a run file.

mod csv;
mod svg;
mod text;

use std::path::Path;

use advise::outset;
use quantities::Pressure;
use still::forecast::{Options, forecast};
use still::plan::STATION_HPA;

use crate::args::ForecastArgs;
use crate::error::CliError;
use crate::number::within;
use crate::print;
use crate::wire::forecast::ForecastWire;

/// Loosest and tightest tolerance the integrator is asked for.
const RTOL_LOW: f64 = 1e-10;
const RTOL_HIGH: f64 = 0.1;

/// Forecasts, writes the files that were asked for, prints the rest.
pub(crate) fn run(args: &ForecastArgs, json: bool) -> Result<(), CliError> {
    let hint = "station pressure, as a barometer at the still shows it, not reduced to sea level";
    let pressure = match args.pressure {
        Some(hpa) => {
            let (least, most) = STATION_HPA;
            let hpa = within("--pressure", hpa, least, most, "hPa", hint)?;
            Some(Pressure::from_hectopascals(hpa)?)
        }
        None => None,
    };
    let hint = "1e-3 is enough for steering; 1e-6 for comparing programs";
    let rtol = within("--rtol", args.rtol, RTOL_LOW, RTOL_HIGH, "", hint)?;
    let mut plan = store::folder::read_plan(&args.run)?;
    super::stated::put_into(&mut plan.still, &args.stated)?;
    let options = Options { rtol, pressure, ..Options::default() };
    let outcome = forecast(&plan, &options)?;
    let to_output = |path: &&Path| *path == Path::new("-");
    let csv_alone = args.csv.as_deref().as_ref().is_some_and(to_output);
    let svg_alone = !csv_alone && args.svg.as_deref().as_ref().is_some_and(to_output);
    if let Some(path) = args.csv.as_deref().filter(|path| !to_output(path)) {
        super::files::write_file("--csv", path, &csv::write(&outcome))?;
    }
    if let Some(path) = args.svg.as_deref().filter(|path| !to_output(path)) {
        super::files::write_file("--svg", path, &svg::draw(&outcome, &plan)?)?;
    }
    if csv_alone {
        return Ok(print::text(&csv::write(&outcome))?);
    }
    if svg_alone {
        return Ok(print::text(&svg::draw(&outcome, &plan)?)?);
    }
    let outset = outset(&plan, &options, &outcome);
    if json {
        print::json(&ForecastWire::of(&plan, &outcome, outset.as_ref()))?;
    } else {
        print::text(&text::write(&plan, &outcome, outset.as_ref()))?;
    }
    Ok(())
}
