//! Plays columns through the live engine, as attended, until it says that the end of hearts is near.

use std::ops::ControlFlow;

use advise::replay_until;
use workbench::{NEAR_CODE, PromptMark, Truth, is_scored};

use super::folders::{Recording, Unit};
use super::pool::{bar, each, guarded};
use super::work::RunResult;
use crate::error::BenchError;

/// How long after the true end a prompt is still waited for, s: a later one tells nothing more.
const LISTEN_AFTER_S: f64 = 600.0;

/// One recording with its truth.
type Known<'a> = (&'a Recording, &'a Truth);

/// Adds to the results of every column whose truth is known what was heard of its end, or why
/// nothing could be. Each run is played as if it were the first of its still.
pub(super) fn listen(
    units: &[Unit],
    results: &mut [RunResult],
    jobs: usize,
) -> Result<(), BenchError> {
    let runs: Vec<Known<'_>> = units
        .iter()
        .flat_map(|unit| &unit.runs)
        .filter(|run| is_scored(&run.folder.plan))
        .filter_map(|run| Some((run, run.truth.as_ref()?)))
        .collect();
    let progress = bar(runs.len(), "replays");
    let heard = each(
        &runs,
        jobs,
        |(_, truth)| truth.end_of_hearts_s,
        |&known| {
            let mark = guarded("the replay", || one(known));
            progress.set_message(known.0.name.clone());
            progress.inc(1);
            mark
        },
    )?;
    progress.finish_and_clear();
    for ((run, _), mark) in runs.into_iter().zip(heard) {
        let Some(result) = results.iter_mut().find(|result| result.name == run.name) else {
            continue;
        };
        result.asked += 1;
        match mark {
            Ok(mark) => result.prompt = mark,
            Err(why) => result.failures.push(format!("{} played live: {why}", run.name)),
        }
    }
    Ok(())
}

/// The first time in one run that the end of hearts was said to be near, beside the truth.
fn one((run, truth): Known<'_>) -> Result<Option<PromptMark>, String> {
    let (plan, rows) = (&run.folder.plan, &run.folder.rows);
    let until_s = truth.end_of_hearts_s + LISTEN_AFTER_S;
    let played = replay_until(plan, &rows.until(until_s), &mut |event, _| {
        if event.code == NEAR_CODE {
            ControlFlow::Break(event.time_s)
        } else {
            ControlFlow::Continue(())
        }
    });
    let prompt_s = played.map_err(|why| why.to_string())?.break_value();
    Ok(PromptMark::new(&run.name, plan, rows, truth, prompt_s))
}
