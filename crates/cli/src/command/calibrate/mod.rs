//! `middlecut calibrate`: the values of a still from two or more of its runs, fitted together.

mod keep;
mod text;
mod wire;

use estimate::{FinishedRun, Residue, Said};
use still::plan::{Measured, Still};
use still::{Cancel, StillError};
use store::folder::RunFolder;

use super::earlier;
use super::progress::Progress;
use super::still::{metal, wrapped};
use crate::args::CalibrateArgs;
use crate::error::CliError;
use crate::number::within;
use crate::print;
use wire::Wire;

/// Reads the folders, fits, keeps the values where asked, prints.
pub(crate) fn run(args: &CalibrateArgs, json: bool) -> Result<(), CliError> {
    let runs = earlier::read(&args.folders)?;
    keep::check(args, &runs)?;
    let residues = residues(args, &runs)?;
    let given: Vec<FinishedRun<'_>> = runs
        .iter()
        .zip(&residues)
        .map(|(run, residue)| FinishedRun { plan: &run.plan, rows: &run.rows, residue: *residue })
        .collect();
    let Some(first) = runs.first() else { return Ok(()) };
    let said = said(args, &first.plan.still)?;
    let progress = Progress::of_things(1);
    progress.doing(format!("{} runs together", runs.len()));
    let found = estimate::calibrate(&given, &said, &Cancel::never())?;
    drop(progress);
    let kept_in = keep::keep(args, &runs, &found)?.map(|dir| dir.display().to_string());
    let said = wire::Said { names: &names(args, &runs), found: &found, kept_in };
    if json {
        print::json(&Wire::of(&said))?;
    } else {
        print::text(&text::write(&said))?;
    }
    Ok(())
}

/// Folder and title of each run.
fn names(args: &CalibrateArgs, runs: &[RunFolder]) -> Vec<wire::Named> {
    let name = |(run, dir): (&RunFolder, &std::path::PathBuf)| wire::Named {
        run: dir.display().to_string(),
        title: run.plan.title.clone(),
        start: run.plan.start.clone(),
    };
    runs.iter().zip(&args.folders).map(name).collect()
}

/// What was left in the boiler, run by run: as typed, else as the run's rows have it.
fn residues(args: &CalibrateArgs, runs: &[RunFolder]) -> Result<Vec<Option<Residue>>, CliError> {
    let recorded = runs.iter().map(|run| Residue::recorded(&run.rows));
    let mut residues: Vec<Option<Residue>> = recorded.collect();
    let runs = runs.len();
    for one in &args.residue {
        let hint = "runs count from 1, in the order in which their folders are named";
        within("--residue", one.run as f64, 1.0, runs as f64, "runs", hint)?;
        residues[one.run - 1] =
            Some(Residue { litres: one.litres, strength_vol: one.strength_vol });
    }
    Ok(residues)
}

/// Losses that follow from what was said of the walls.
fn said(args: &CalibrateArgs, still: &Still) -> Result<Said, CliError> {
    let measured = Measured {
        diameter_mm: args.diameter,
        height_mm: args.height,
        column_probe_mm: None,
        filling: args.filling.map(|filling| filling.0),
        column_lagged: wrapped(args.column),
        boiler_lagged: wrapped(args.boiler_wall),
        metal: metal(args.metal),
    };
    measured.check().map_err(StillError::Plan)?;
    Ok(Said::of(still, &measured))
}
