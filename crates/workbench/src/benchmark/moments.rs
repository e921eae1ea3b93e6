//! When each run is to be forecast: shares of its hearts, or the moments of a file.

use std::collections::BTreeMap;
use std::path::Path;

use workbench::FRACTIONS;

use super::folders::{Recording, Unit};
use super::table::Table;
use crate::error::BenchError;

/// How long after its last row a run may still be asked about, s: between two rows nothing is known
/// of the next, and a record may be cut off at the moment.
const SILENCE_S: f64 = 3600.0;

/// One moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Moment {
    /// Share of the hearts.
    pub(super) at_fraction: f64,
    /// Run time, s.
    pub(super) made_at_s: f64,
}

/// The moments of every run by its name.
pub(super) type Moments = BTreeMap<String, Vec<Moment>>;

/// The moments of a file, or else those the truth asks for.
pub(super) fn choose(
    units: &[Unit],
    dir: &Path,
    file: Option<&Path>,
) -> Result<Moments, BenchError> {
    let runs: BTreeMap<&str, &Recording> =
        units.iter().flat_map(|unit| &unit.runs).map(|run| (run.name.as_str(), run)).collect();
    if let Some(file) = file {
        return read(file, &runs);
    }
    runs.values().map(|run| Ok((run.name.clone(), of_truth(run, dir)?))).collect()
}

fn of_truth(run: &Recording, dir: &Path) -> Result<Vec<Moment>, BenchError> {
    let truth = run.truth.as_ref().ok_or_else(|| BenchError::Unfit {
        file: dir.join(&run.name),
        line: None,
        what: "outcome.json is not there, so the moments of its forecasts are not known".to_owned(),
        hint: "name the moments with --at MOMENTS.csv, columns run,at_fraction,made_at_s"
            .to_owned(),
    })?;
    let moment = |fraction| Moment { at_fraction: fraction, made_at_s: truth.made_at_s(fraction) };
    Ok(FRACTIONS.map(moment).to_vec())
}

fn read(file: &Path, runs: &BTreeMap<&str, &Recording>) -> Result<Moments, BenchError> {
    let table = Table::read(file, &["run", "at_fraction", "made_at_s"], &[])?;
    let mut moments = Moments::new();
    for row in table.rows() {
        let name = row.text("run");
        let at_fraction = row.number("at_fraction")?;
        let made_at_s = row.number("made_at_s")?;
        let Some(run) = runs.get(name) else {
            return Err(row.refused(
                "run",
                name,
                "names no run below the folder",
                "runs are named by their folder, as 001 or series-A/1",
            ));
        };
        if !(0.0..=1.0).contains(&at_fraction) {
            return Err(row.refused(
                "at_fraction",
                &at_fraction.to_string(),
                "must lie from 0 to 1",
                "it is the share of the hearts",
            ));
        }
        let latest_s = run.folder.rows.last_s() + SILENCE_S;
        if !(0.0..=latest_s).contains(&made_at_s) {
            let bound =
                format!("must lie from 0 to an hour after the run's last row, {latest_s} s");
            let hint = "it is run time: seconds from heater on";
            return Err(row.refused("made_at_s", &made_at_s.to_string(), &bound, hint));
        }
        let of_run = moments.entry(name.to_owned()).or_default();
        if of_run.iter().any(|moment: &Moment| moment.at_fraction == at_fraction) {
            return Err(row.refused(
                "at_fraction",
                &at_fraction.to_string(),
                "stands twice for this run",
                "give each moment of a run once",
            ));
        }
        of_run.push(Moment { at_fraction, made_at_s });
    }
    if moments.is_empty() {
        return Err(
            table.refused("no moment is there", "one row a moment: run,at_fraction,made_at_s")
        );
    }
    Ok(moments)
}
