//! `workbench benchmark`: forecasts every recording below a folder and scores the forecasts.

pub(crate) mod calibrated;
pub(crate) mod folders;
mod forecasts;
mod moments;
pub(crate) mod out;
mod page;
mod pool;
mod replays;
mod report;
mod svg;
mod table;
mod tables;
mod text;
mod work;

use std::num::NonZero;
use std::path::{Path, PathBuf};

use estimate::Settings;
use report::{Report, Runs};
use workbench::Forecast;

use crate::args::BenchmarkArgs;
use crate::error::BenchError;

/// Most runs at a time.
const JOBS_MAX: usize = 1024;

/// Makes the forecasts, writes them, scores them where the truth is known.
pub(crate) fn run(args: &BenchmarkArgs, json: bool) -> Result<(), BenchError> {
    let jobs = jobs(args.jobs)?;
    let units = folders::find(&args.folder)?;
    let runs = Runs::new(&units);
    let baselines = baselines(&args.baseline, &runs)?;
    let mut results = if let Some(file) = &args.score_only {
        work::sorted(&units, read_forecasts(file, &runs)?)
    } else {
        let moments = moments::choose(&units, &args.folder, args.at.as_deref())?;
        let settings = Settings { seed: args.seed, update: !args.no_update, ..Settings::default() };
        let choices = work::Choices { settings, learning: !args.no_learning, jobs };
        work::forecasts(&units, &moments, choices)?
    };
    if args.replay {
        replays::listen(&units, &mut results, jobs)?;
    }
    if let Some(path) = &args.csv {
        let made = results.iter().flat_map(|result| &result.forecasts);
        out::write_file("--csv", path, &forecasts::write(made))?;
    }
    say(args, json, &runs, &results, &baselines)?;
    finish(&results)
}

/// Prints the scores and writes the page; without any truth, only what was done.
fn say(
    args: &BenchmarkArgs,
    json: bool,
    runs: &Runs<'_>,
    results: &[work::RunResult],
    baselines: &[(String, Vec<Forecast>)],
) -> Result<(), BenchError> {
    let report = Report::new(runs, results, baselines, args.seed);
    if let Some(folder) = &args.report {
        page::write(folder, &report, runs, results)?;
    }
    if json {
        let text = serde_json::to_string_pretty(&report).map_err(std::io::Error::from)?;
        out::print(&(text + "\n"))?;
    } else if runs.any_truth() {
        out::print(&text::write(&report))?;
    } else {
        let made: usize = results.iter().map(|result| result.forecasts.len()).sum();
        out::print(&format!(
            "{} runs, {} series, {made} forecasts; nothing is scored: no outcome.json is there\n",
            report.runs, report.series
        ))?;
    }
    Ok(())
}

fn baselines(
    files: &[PathBuf],
    runs: &Runs<'_>,
) -> Result<Vec<(String, Vec<Forecast>)>, BenchError> {
    let name = |file: &Path| {
        file.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned())
    };
    files.iter().map(|file| Ok((name(file), read_forecasts(file, runs)?))).collect()
}

/// Forecasts of a file, at least one of which must be of a run whose truth is known.
fn read_forecasts(file: &Path, runs: &Runs<'_>) -> Result<Vec<Forecast>, BenchError> {
    let read = forecasts::read(file)?;
    if runs.score(&read).is_empty() {
        return Err(BenchError::Unfit {
            file: file.to_path_buf(),
            line: None,
            what: "no forecast in it is of a run below the folder whose outcome.json is there"
                .to_owned(),
            hint: "runs are named by their folder, as 001 or series-A/1".to_owned(),
        });
    }
    Ok(read)
}

fn jobs(asked: Option<usize>) -> Result<usize, BenchError> {
    let Some(jobs) = asked else {
        return Ok(std::thread::available_parallelism().map_or(1, NonZero::get));
    };
    let bad = BenchError::Jobs { value: jobs, high: JOBS_MAX };
    if (1..=JOBS_MAX).contains(&jobs) { Ok(jobs) } else { Err(bad) }
}

/// Says what failed; an error if anything did.
fn finish(results: &[work::RunResult]) -> Result<(), BenchError> {
    let failures: Vec<&String> = results.iter().flat_map(|result| &result.failures).collect();
    for failure in &failures {
        eprintln!("failed: {failure}");
    }
    let of = results.iter().map(|result| result.asked).sum();
    if failures.is_empty() {
        Ok(())
    } else {
        Err(BenchError::Unmade { failed: failures.len(), of })
    }
}
