//! Every wash below a folder at the moments of a list, as one CSV file; no outcome is opened.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;

use quantities::Band;
use store::folder::read_wash;

use super::super::progress::Progress;
use super::moment::typed;
use crate::error::CliError;

/// Most moments of one list.
const MOMENTS_MAX: usize = 100_000;
const HEADER: &str = "run,moment,at_h,end_h_p025,end_h_p10,end_h_p50,end_h_p90,end_h_p975,\
strength_p025,strength_p10,strength_p50,strength_p90,strength_p975,state,gravity_p025,gravity_p10,\
gravity_p50,gravity_p90,gravity_p975,p_working,p_slow,p_stuck,p_finished\n";

/// One line of the list.
struct Moment {
    run: String,
    name: String,
    at_h: f64,
}

/// Forecasts all of them on every core and writes the file.
pub(super) fn run(folder: &Path, list: &Path, csv: &Path) -> Result<(), CliError> {
    let moments = read(list)?;
    let progress = Progress::of_things(moments.len());
    let cores =
        std::thread::available_parallelism().map_or(1, usize::from).min(moments.len().max(1));
    let next = AtomicUsize::new(0);
    let (sender, receiver) = mpsc::channel();
    let mut rows: Vec<Option<Result<String, CliError>>> = Vec::new();
    rows.resize_with(moments.len(), || None);
    std::thread::scope(|scope| {
        for _ in 0..cores {
            let (sender, next, moments) = (sender.clone(), &next, &moments);
            scope.spawn(move || {
                while let Some((place, moment)) = take(next, moments) {
                    if sender.send((place, row(folder, moment))).is_err() {
                        break;
                    }
                }
            });
        }
        drop(sender);
        for (place, row) in receiver {
            progress.doing(format!("wash {}", moments[place].run));
            progress.one_done();
            rows[place] = Some(row);
        }
    });
    let mut text = HEADER.to_owned();
    for row in rows.into_iter().flatten() {
        text.push_str(&row?);
    }
    std::fs::write(csv, text).map_err(|why| CliError::Write {
        option: "--csv",
        path: csv.to_owned(),
        why,
    })
}

fn take<'a>(next: &AtomicUsize, moments: &'a [Moment]) -> Option<(usize, &'a Moment)> {
    let place = next.fetch_add(1, Ordering::Relaxed);
    moments.get(place).map(|moment| (place, moment))
}

fn row(folder: &Path, moment: &Moment) -> Result<String, CliError> {
    let dir = folder.join(&moment.run);
    let (recipe, log) = read_wash(&dir, moment.at_h)?;
    let found = ferment::forecast(&recipe, &log, moment.at_h)
        .map_err(|error| unfit(&dir, None, error.to_string(), error.hint))?;
    let five =
        |of: &Band, decimals: usize| of.to_array().map(|x| format!("{x:.decimals$}")).join(",");
    let state = format!("{:?}", found.state).to_lowercase();
    Ok(format!(
        "{},{},{},{},{},{state},{},{}\n",
        moment.run,
        moment.name,
        moment.at_h,
        five(&found.end_h, 2),
        five(&found.final_strength_vol, 4),
        five(&found.final_gravity, 5),
        found.chance.map(|chance| format!("{chance:.4}")).join(",")
    ))
}

fn unfit(file: &Path, line: Option<u64>, what: String, hint: &str) -> CliError {
    CliError::Unfit { file: file.to_owned(), line, what, hint: hint.to_owned() }
}

fn read(list: &Path) -> Result<Vec<Moment>, CliError> {
    let hint = "a list has the columns run,moment,at_h (and perhaps asked)";
    let wrong = |line, what: String| unfit(list, line, what, hint);
    let text = std::fs::read_to_string(list).map_err(|error| wrong(None, error.to_string()))?;
    let mut lines = (1..).zip(text.lines());
    let header: Vec<&str> =
        lines.next().map(|(_, line)| line.split(',').collect()).unwrap_or_default();
    let place = |name: &str| {
        let found = header.iter().position(|column| column.trim() == name);
        found.ok_or_else(|| wrong(Some(1), format!("column {name} is missing")))
    };
    let (run, name, at) = (place("run")?, place("moment")?, place("at_h")?);
    let mut moments = Vec::new();
    for (line, cells) in lines.filter(|(_, line)| !line.trim().is_empty()) {
        let cells: Vec<&str> = cells.split(',').map(str::trim).collect();
        if cells.len() != header.len() {
            let what = format!("{} cells where the header has {}", cells.len(), header.len());
            return Err(wrong(Some(line), what));
        }
        let inside =
            PathBuf::from(cells[run]).components().count() == 1 && !cells[run].starts_with('.');
        if !inside {
            return Err(wrong(
                Some(line),
                format!("run = {}: must name a folder of a wash", cells[run]),
            ));
        }
        let at_h = typed(cells[at])
            .map_err(|error| wrong(Some(line), format!("at_h = {}: {error}", cells[at])))?;
        moments.push(Moment { run: cells[run].to_owned(), name: cells[name].to_owned(), at_h });
        if moments.len() > MOMENTS_MAX {
            return Err(wrong(Some(line), format!("more than {MOMENTS_MAX} moments")));
        }
    }
    Ok(moments)
}
