//! Drives engine, simulated still and stand-in together through a whole run.

use advise::{Event, Live, LiveOptions, RUN_SECONDS_MAX, RunEnd};
use sense::SecondRows;
use still::plan::RunPlan;

use super::Rehearsal;
use crate::error::RehearseError;

/// Runs a rehearsal with the stand-in attendant to its end.
///
/// # Errors
/// [`RehearseError`] for a plan that breaks a rule or never boils.
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
    let mut live = Live::new(plan.clone(), options)?;
    let mut rehearsal = Rehearsal::new(plan, seed, true)?;
    let mut due: Vec<Event> = Vec::new();
    for second in 0..=RUN_SECONDS_MAX {
        let rows = rehearsal.second(second, &due)?;
        let mut said = live.rows(&rows);
        said.extend(live.tick(second));
        if !rows.is_empty() {
            on_rows(&rows);
        }
        for event in &said {
            on_event(event, &live);
        }
        if live.end().is_some() || rehearsal.finished() {
            break;
        }
        due = said;
    }
    for event in live.close() {
        on_event(&event, &live);
    }
    Ok(live.end().unwrap_or_else(|| live.end_now()))
}
