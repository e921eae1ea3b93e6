//! Makes the forecasts of all units, several at a time.

use advise::learn;
use estimate::{AlcoholBalance, Character, Settings, estimate};
use workbench::{Forecast, PromptMark, naive_strength_vol};

use super::folders::{Recording, Unit};
use super::moments::{Moment, Moments};
use super::pool::{bar, each, guarded};
use crate::error::BenchError;
use indicatif::ProgressBar;

/// How the forecasts are to be made.
#[derive(Debug, Clone, Copy)]
pub(super) struct Choices {
    /// Seed and whether measurements count.
    pub(super) settings: Settings,
    /// Whether the runs of a series teach each other.
    pub(super) learning: bool,
    /// How many units at a time.
    pub(super) jobs: usize,
}

/// What came of one run.
#[derive(Debug, Default)]
pub(super) struct RunResult {
    /// Its name.
    pub(super) name: String,
    /// Its forecasts, in the order of the moments.
    pub(super) forecasts: Vec<Forecast>,
    /// What could not be done, each with the moment and the reason.
    pub(super) failures: Vec<String>,
    /// How many forecasts and replays were asked for.
    pub(super) asked: usize,
    /// What was known of the still after it; only in a series.
    pub(super) character: Option<Character>,
    /// Where its alcohol went; only in a series.
    pub(super) balance: Option<AlcoholBalance>,
    /// When it was said live that the end of hearts is near; only where that was listened for.
    pub(super) prompt: Option<PromptMark>,
}

/// Works through all units and returns the results of their runs in the units' order.
pub(super) fn forecasts(
    units: &[Unit],
    moments: &Moments,
    choices: Choices,
) -> Result<Vec<RunResult>, BenchError> {
    let progress = bar(moments.values().map(Vec::len).sum(), "forecasts");
    let results = each(
        units,
        choices.jobs,
        |unit| unit.runs.len() as f64,
        |one| unit(one, moments, choices, &progress),
    )?;
    progress.finish_and_clear();
    Ok(results.into_iter().flatten().collect())
}

/// Forecasts that were made before, by run in the units' order.
pub(super) fn sorted(units: &[Unit], forecasts: Vec<Forecast>) -> Vec<RunResult> {
    let mut results: Vec<RunResult> = units
        .iter()
        .flat_map(|unit| &unit.runs)
        .map(|run| RunResult { name: run.name.clone(), ..RunResult::default() })
        .collect();
    for forecast in forecasts {
        if let Some(result) = results.iter_mut().find(|result| result.name == forecast.run) {
            result.forecasts.push(forecast);
        }
    }
    for result in &mut results {
        result.forecasts.sort_by(|a, b| a.at_fraction.total_cmp(&b.at_fraction));
    }
    results
}

fn unit(
    unit: &Unit,
    moments: &Moments,
    choices: Choices,
    progress: &ProgressBar,
) -> Vec<RunResult> {
    let mut known: Option<Character> = None;
    let mut results = Vec::new();
    for (at, run) in unit.runs.iter().enumerate() {
        let mut result = RunResult { name: run.name.clone(), ..RunResult::default() };
        for &moment in moments.get(&run.name).map_or(&[][..], Vec::as_slice) {
            result.asked += 1;
            match guarded("the estimate", || one(run, moment, known.as_ref(), choices.settings)) {
                Ok(forecast) => result.forecasts.push(forecast),
                Err(why) => result.failures.push(format!(
                    "{} at {} (made at {} s): {why}",
                    run.name, moment.at_fraction, moment.made_at_s
                )),
            }
            progress.set_message(run.name.clone());
            progress.inc(1);
        }
        let is_last = at + 1 == unit.runs.len();
        if choices.learning && unit.runs.len() > 1 {
            let before = known.clone().unwrap_or_default();
            let folder = &run.folder;
            let lesson = guarded("the estimate", || {
                learn(&folder.plan, &folder.rows, &before, choices.settings)
                    .map_err(|why| why.to_string())
            });
            match lesson {
                Ok(lesson) => {
                    result.balance = Some(lesson.balance);
                    result.character = Some(lesson.character.clone());
                    known = Some(lesson.character);
                }
                // Nobody was to learn from the last.
                Err(_) if is_last => {}
                Err(why) => {
                    result.failures.push(format!("{}, learning from it: {why}", run.name));
                }
            }
        }
        results.push(result);
    }
    results
}

/// One forecast from the rows recorded by its moment.
fn one(
    run: &Recording,
    moment: Moment,
    known: Option<&Character>,
    settings: Settings,
) -> Result<Forecast, String> {
    let rows = run.folder.rows.until(moment.made_at_s);
    let outlook = estimate(&run.folder.plan, &rows, moment.made_at_s, known, settings)
        .map_err(|why| why.to_string())?;
    let forecast = Forecast::of_outlook(&run.name, moment.at_fraction, &outlook);
    let mut forecast =
        forecast.ok_or_else(|| "the estimate gives no end of the hearts".to_owned())?;
    forecast.naive_strength_vol = naive_strength_vol(&run.folder.plan, &rows);
    Ok(forecast)
}
