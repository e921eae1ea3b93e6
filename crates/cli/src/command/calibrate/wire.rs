//! What a calibration gives as JSON: what was found, with the runs by name.

use estimate::{CalibratedRun, Calibration, NextRun, Parameter, Value};
use serde::Serialize;
use still::plan::Still;

/// A run by name.
#[derive(Debug, Clone)]
pub(super) struct Named {
    pub(super) run: String,
    pub(super) title: String,
    pub(super) start: String,
}

/// Everything that is said.
pub(super) struct Said<'a> {
    pub(super) names: &'a [Named],
    pub(super) found: &'a Calibration,
    /// Folder of the record that keeps the values, where one does.
    pub(super) kept_in: Option<String>,
}

#[derive(Serialize)]
struct RunWire<'a> {
    run: &'a str,
    title: &'a str,
    start: &'a str,
    #[serde(flatten)]
    found: &'a CalibratedRun,
}

#[derive(Serialize)]
struct ApartWire {
    one: Parameter,
    other: Parameter,
    correlation: f64,
}

/// The same as one JSON object.
#[derive(Serialize)]
pub(super) struct Wire<'a> {
    still: &'a Still,
    values: &'a [Value],
    not_apart: Vec<ApartWire>,
    runs: Vec<RunWire<'a>>,
    next: &'a [NextRun],
    misfit: f64,
    starts: usize,
    starts_agree: usize,
    simulations: u64,
    kept_in: Option<&'a str>,
}

impl<'a> Wire<'a> {
    /// Of what is said.
    pub(super) fn of(said: &'a Said<'a>) -> Self {
        let found = said.found;
        let apart = |&(one, other, correlation): &(Parameter, Parameter, f64)| ApartWire {
            one,
            other,
            correlation,
        };
        let run = |(name, found): (&'a Named, &'a CalibratedRun)| RunWire {
            run: &name.run,
            title: &name.title,
            start: &name.start,
            found,
        };
        Self {
            still: &found.still,
            values: &found.values,
            not_apart: found.not_apart.iter().map(apart).collect(),
            runs: said.names.iter().zip(&found.runs).map(run).collect(),
            next: &found.next,
            misfit: found.misfit,
            starts: found.starts_agree.1,
            starts_agree: found.starts_agree.0,
            simulations: found.simulations,
            kept_in: said.kept_in.as_deref(),
        }
    }
}
