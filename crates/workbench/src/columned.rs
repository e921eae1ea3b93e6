//! `workbench column`: the same drawn columns forecast with the thermometer in them and without.

use estimate::{Settings, estimate};
use rayon::prelude::*;
use sense::{Probe, RecordedRun};
use store::folder::RunFolder;
use workbench::column_page::{Outcome, page};
use workbench::drawn::{Family, Ranges, draw_with_column, family_at};
use workbench::{FRACTIONS, Forecast, Scored, Standing, Truth};

use crate::args::ColumnArgs;
use crate::benchmark::out;
use crate::error::BenchError;

/// Stills out of the usual have seeds of their own.
const STRESS_SEED: u64 = 1000;

/// Draws, forecasts, scores; prints the tables, or writes them.
pub(crate) fn run(args: &ColumnArgs) -> Result<(), BenchError> {
    let all = (0..).filter(|&place| family_at(place) != Family::Pot);
    let places: Vec<usize> = all.take(args.count as usize).collect();
    let of = |seed: u64, ranges: &Ranges| {
        let made = places.par_iter().map(|&place| one(seed, place, ranges));
        made.collect::<Result<Vec<Outcome>, BenchError>>()
    };
    let usual = of(args.seed, &Ranges::USUAL)?;
    let stress = of(args.seed + STRESS_SEED, &Ranges::STRESS)?;
    let text = page(&[("usual", &usual), ("stress", &stress)], args.seed);
    match &args.into {
        Some(path) => out::write_file("--into", path, &text),
        None => Ok(out::print(&text)?),
    }
}

/// One run, forecast at every moment with and without.
fn one(seed: u64, place: usize, ranges: &Ranges) -> Result<Outcome, BenchError> {
    let name = format!("{:03}", place + 1);
    let unmade = |why: String| BenchError::Undrawn { place: place + 1, why };
    let drawn = draw_with_column(seed, place, ranges)
        .map_err(|why| unmade(format!("{:?}", why.keys().collect::<Vec<_>>())))?;
    let truth: Truth = serde_json::from_value(drawn.folder.outcome.clone().unwrap_or_default())
        .map_err(|why| unmade(why.to_string()))?;
    let bare = without(&drawn.folder.rows);
    let said = |rows: &RecordedRun| -> Result<Vec<Forecast>, BenchError> {
        let each = FRACTIONS.map(|at| said(&name, &drawn.folder, rows, (at, truth.made_at_s(at))));
        each.into_iter().collect::<Result<_, String>>().map_err(unmade)
    };
    let (with, without) = (said(&drawn.folder.rows)?, said(&bare)?);
    let standing = Standing { unit: name.clone(), series_run: None };
    let score = |said: &[Forecast]| -> Vec<Scored> {
        said.iter().map(|one| Scored::new(one, &truth, &standing)).collect()
    };
    let let_go: Vec<bool> =
        with.iter().map(|one| one.untrusted.iter().any(|answer| answer == "column")).collect();
    Ok(Outcome {
        with: score(&with),
        without: score(&without),
        fault: truth.column_fault.clone().unwrap_or_default(),
        let_go,
    })
}

/// The rows as they would be without the thermometer.
fn without(rows: &RecordedRun) -> RecordedRun {
    let mut bare = rows.clone();
    bare.readings.iter_mut().for_each(|(_, row)| row.set(Probe::Column, None));
    bare
}

fn said(
    name: &str,
    folder: &RunFolder,
    rows: &RecordedRun,
    (at_fraction, at_s): (f64, f64),
) -> Result<Forecast, String> {
    let rows = rows.until(at_s);
    let outlook = estimate(&folder.plan, &rows, at_s, None, Settings::default())
        .map_err(|why| why.to_string())?;
    Forecast::of_outlook(name, at_fraction, &outlook)
        .ok_or_else(|| "the estimate gives no end of the hearts".to_owned())
}
