//! Drives engine, simulated still and stand-in together through a whole run.

use advise::{Event, Live, LiveOptions, RUN_SECONDS_MAX, RunEnd};
use sense::SecondRows;
use still::plan::RunPlan;

use super::{Manner, Rehearsal};
use crate::error::RehearseError;

/// One second of a rehearsal that is attended.
#[derive(Debug, Clone, Copy)]
pub struct Second<'a> {
    /// The engine after the tick of this second.
    pub live: &'a Live,
    /// What it said in it.
    pub said: &'a [Event],
    /// What was read, done and measured in it.
    pub rows: &'a SecondRows,
}

/// How a rehearsal is attended.
#[derive(Debug, Clone, PartialEq)]
pub struct Attended {
    /// Seed of probes, bench and stand-in.
    pub seed: u64,
    /// What kind of person stands in.
    pub manner: Manner,
    /// How the engine works.
    pub options: LiveOptions,
    /// Whether there is a scale under the jar.
    pub scale: bool,
}

/// Runs a rehearsal with a stand-in attendant to its end.
///
/// # Errors
/// [`RehearseError`] for a plan that breaks a rule or never boils.
pub fn attend(
    plan: &RunPlan,
    how: &Attended,
    on_second: &mut dyn FnMut(Second<'_>),
) -> Result<RunEnd, RehearseError> {
    let mut live = Live::new(plan.clone(), how.options.clone())?;
    let mut rehearsal = Rehearsal::attended(plan, how.seed, how.manner)?;
    if how.scale {
        rehearsal = rehearsal.with_scale();
    }
    let mut due: Vec<Event> = Vec::new();
    for second in 0..=RUN_SECONDS_MAX {
        let rows = rehearsal.second(second, &due)?;
        let mut said = live.rows(&rows);
        said.extend(live.tick(second));
        on_second(Second { live: &live, said: &said, rows: &rows });
        if live.end().is_some() || rehearsal.finished() {
            break;
        }
        due = said;
    }
    let said = live.close();
    on_second(Second { live: &live, said: &said, rows: &SecondRows::default() });
    Ok(live.end().unwrap_or_else(|| live.end_now()))
}

/// As [`attend`], with a careful stand-in and every answer of the engine.
///
/// # Errors
/// As [`attend`].
pub fn rehearse(
    plan: &RunPlan,
    seed: u64,
    on_event: &mut dyn FnMut(&Event, &Live),
    on_rows: &mut dyn FnMut(&SecondRows),
) -> Result<RunEnd, RehearseError> {
    rehearse_as(plan, seed, LiveOptions::default(), on_event, on_rows)
}

/// As [`rehearse`], with an engine of other options; without estimates it is some ten times faster.
///
/// # Errors
/// As [`rehearse`].
pub fn rehearse_as(
    plan: &RunPlan,
    seed: u64,
    options: LiveOptions,
    on_event: &mut dyn FnMut(&Event, &Live),
    on_rows: &mut dyn FnMut(&SecondRows),
) -> Result<RunEnd, RehearseError> {
    let how = Attended { seed, manner: Manner::Careful, options, scale: false };
    rehearse_how(plan, &how, on_event, on_rows)
}

/// As [`rehearse`], attended in that way.
///
/// # Errors
/// As [`attend`].
pub fn rehearse_how(
    plan: &RunPlan,
    how: &Attended,
    on_event: &mut dyn FnMut(&Event, &Live),
    on_rows: &mut dyn FnMut(&SecondRows),
) -> Result<RunEnd, RehearseError> {
    attend(plan, how, &mut |second| {
        if !second.rows.is_empty() {
            on_rows(second.rows);
        }
        for event in second.said {
            on_event(event, second.live);
        }
    })
}
