//! `middlecut benchmark`: forecasts every recording below a folder and scores the forecasts.
#![expect(clippy::print_stderr, reason = "what could not be forecast is said on standard error")]

mod folders;
mod forecasts;
mod moments;
mod progress;
mod table;
mod work;

use std::num::NonZero;

use advise::estimate::Settings;

use crate::args::BenchmarkArgs;
use crate::error::CliError;
use crate::number::within;
use crate::print;

/// Most runs at a time.
const JOBS_MAX: f64 = 1024.0;

/// Makes the forecasts, writes them, scores them where the truth is known.
pub(crate) fn run(args: &BenchmarkArgs, _json: bool) -> Result<(), CliError> {
    let units = folders::find(&args.folder)?;
    let moments = moments::choose(&units, &args.folder, args.at.as_deref())?;
    let choices = work::Choices {
        settings: Settings { seed: args.seed, update: !args.no_update },
        learning: !args.no_learning,
        jobs: jobs(args.jobs)?,
    };
    let results = work::forecasts(&units, &moments, choices);
    if let Some(path) = &args.csv {
        let made = results.iter().flat_map(|result| &result.forecasts);
        super::write_file("--csv", path, &forecasts::write(made))?;
    }
    let series = units.iter().filter(|unit| unit.runs.len() > 1).count();
    print::text(&format!("{} runs, {series} series\n", results.len()))?;
    finish(&results)
}

fn jobs(asked: Option<usize>) -> Result<usize, CliError> {
    let Some(jobs) = asked else {
        return Ok(std::thread::available_parallelism().map_or(1, NonZero::get));
    };
    within("--jobs", jobs as f64, 1.0, JOBS_MAX, "", "leave it out to use all cores")?;
    Ok(jobs)
}

/// Says what failed; an error if anything did.
fn finish(results: &[work::RunResult]) -> Result<(), CliError> {
    let failures: Vec<&String> = results.iter().flat_map(|result| &result.failures).collect();
    for failure in &failures {
        eprintln!("failed: {failure}");
    }
    let of = results.iter().map(|result| result.asked).sum();
    if failures.is_empty() { Ok(()) } else { Err(CliError::Unmade { failed: failures.len(), of }) }
}
