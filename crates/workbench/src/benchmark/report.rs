//! Everything that is known about a set of forecasts once the truth is there.

use std::collections::BTreeMap;

use serde::Serialize;
use workbench::{
    Check, FaultTable, Forecast, Other, Paired, PromptTable, Scored, Standing, Summary, TraitMark,
    Truth, checks, compare, gain_checks, sides, summaries, trait_marks, worst, worst_runs,
};

use super::folders::{Recording, Unit};
use super::work::RunResult;

/// How many of the worst are listed and drawn.
pub(super) const WORST: usize = 10;

/// A comparison with the forecasts of a file.
#[derive(Debug, Serialize)]
pub(super) struct Comparison {
    /// The file's name.
    pub(super) with: String,
    /// Group by group.
    pub(super) lines: Vec<Paired>,
}

/// All scores of a collection.
#[derive(Debug, Serialize)]
pub(super) struct Report {
    pub(super) runs: usize,
    pub(super) series: usize,
    pub(super) forecasts: usize,
    pub(super) summaries: Vec<Summary>,
    pub(super) checks: Vec<Check>,
    pub(super) worst: Vec<Scored>,
    pub(super) worst_runs: Vec<String>,
    pub(super) prompts: PromptTable,
    pub(super) faults: FaultTable,
    pub(super) traits: Vec<TraitMark>,
    pub(super) comparisons: Vec<Comparison>,
    #[serde(skip)]
    pub(super) scored: Vec<Scored>,
}

/// Runs by name, with where they stand.
pub(super) struct Runs<'a> {
    by_name: BTreeMap<&'a str, (&'a Recording, Standing)>,
    series: usize,
}

impl<'a> Runs<'a> {
    /// Of all units.
    pub(super) fn new(units: &'a [Unit]) -> Self {
        let mut by_name = BTreeMap::new();
        for unit in units {
            let is_series = unit.runs.len() > 1;
            for (at, run) in unit.runs.iter().enumerate() {
                let name = run.name.as_str();
                let folder = name.rsplit_once('/').map_or(name, |(folder, _)| folder);
                let standing = Standing {
                    unit: if is_series { folder } else { name }.to_owned(),
                    series_run: is_series.then_some(at + 1),
                };
                by_name.insert(name, (run, standing));
            }
        }
        let series = units.iter().filter(|unit| unit.runs.len() > 1).count();
        Self { by_name, series }
    }

    /// The truth of a run.
    pub(super) fn truth(&self, run: &str) -> Option<&'a Truth> {
        self.by_name.get(run)?.0.truth.as_ref()
    }

    /// Whether the truth of any run is known.
    pub(super) fn any_truth(&self) -> bool {
        self.by_name.values().any(|(run, _)| run.truth.is_some())
    }

    /// Scores the forecasts of runs whose truth is known.
    pub(super) fn score(&self, forecasts: &[Forecast]) -> Vec<Scored> {
        let one = |forecast: &Forecast| {
            let (run, standing) = self.by_name.get(forecast.run.as_str())?;
            Some(Scored::new(forecast, run.truth.as_ref()?, standing))
        };
        forecasts.iter().filter_map(one).collect()
    }
}

impl Report {
    /// Scores everything.
    pub(super) fn new(
        runs: &Runs<'_>,
        results: &[RunResult],
        baselines: &[(String, Vec<Forecast>)],
        seed: u64,
    ) -> Self {
        let mut faults = FaultTable::default();
        let mut traits = Vec::new();
        let mut prompts = PromptTable::default();
        for result in results {
            let Some(truth) = runs.truth(&result.name) else { continue };
            faults.add(&result.forecasts, truth);
            prompts.marks.extend(result.prompt.clone());
            if let (Some(character), Some((run, _))) =
                (&result.character, runs.by_name.get(result.name.as_str()))
            {
                traits.extend(trait_marks(&result.name, &run.folder.plan, truth, character));
            }
        }
        let all: Vec<Forecast> =
            results.iter().flat_map(|result| result.forecasts.clone()).collect();
        let scored = runs.score(&all);
        let against = |(with, theirs): &(String, Vec<Forecast>)| Comparison {
            with: with.clone(),
            lines: compare(&scored, &runs.score(theirs), seed),
        };
        let comparisons: Vec<Comparison> = baselines.iter().map(against).collect();
        let mut checks = checks(&scored);
        for Comparison { with, lines } in &comparisons {
            checks.extend(gain_checks(with, other(with), lines));
        }
        checks.extend(prompts.checks());
        Self {
            runs: results.len(),
            series: runs.series,
            forecasts: scored.len(),
            summaries: summaries(&scored),
            checks,
            worst: worst(&scored, WORST).into_iter().cloned().collect(),
            worst_runs: worst_runs(&scored, WORST),
            prompts,
            faults,
            traits,
            comparisons,
            scored,
        }
    }

    /// Whether any forecast misses by more than its band says it may.
    pub(super) fn is_far_off(one: &Scored) -> bool {
        sides().iter().any(|(_, mark)| mark(one).beyond_95 > 1.0)
    }
}

/// What the forecasts of a file are, by its name.
fn other(name: &str) -> Other {
    match name {
        "no_update" => Other::NoUpdate,
        "no_learning" => Other::NoLearning,
        _ => Other::Balance,
    }
}

/// The families that were scored, in order.
pub(super) fn families(scored: &[Scored]) -> Vec<String> {
    let mut found: Vec<String> = scored.iter().map(|one| one.family.clone()).collect();
    found.sort();
    found.dedup();
    found
}
