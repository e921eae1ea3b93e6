//! Drives the engine through a whole run: a recorded one, or a rehearsal.

use std::convert::Infallible;
use std::ops::ControlFlow;

use still::plan::RunPlan;

use crate::error::AdviseError;
use crate::live::{Event, Live, LiveOptions, RunEnd};
use crate::rehearse::Rehearsal;
use crate::rows::{Cursor, RecordedRun, SecondRows};

/// Longest run that is driven, s: a fortnight.
pub const RUN_SECONDS_MAX: u64 = 1_209_600;

/// Plays a recorded run through the engine, a tick after the rows of each second.
///
/// # Errors
/// [`AdviseError`] for a plan that breaks a rule or rows past a fortnight.
pub fn replay(
    plan: &RunPlan,
    rows: &RecordedRun,
    on_event: &mut dyn FnMut(&Event, &Live),
) -> Result<RunEnd, AdviseError> {
    let played = replay_until(plan, rows, &mut |event, live| -> ControlFlow<Infallible> {
        on_event(event, live);
        ControlFlow::Continue(())
    })?;
    let ControlFlow::Continue(end) = played;
    Ok(end)
}

/// As [`replay`], but only until `on_event` breaks off: then what it broke off with, and nothing
/// that was recorded later has been looked at.
///
/// # Errors
/// As [`replay`].
pub fn replay_until<B>(
    plan: &RunPlan,
    rows: &RecordedRun,
    on_event: &mut dyn FnMut(&Event, &Live) -> ControlFlow<B>,
) -> Result<ControlFlow<B, RunEnd>, AdviseError> {
    let last_s = rows.last_s();
    if !(last_s >= 0.0 && last_s <= RUN_SECONDS_MAX as f64) {
        return Err(AdviseError::Time { value: last_s, high: RUN_SECONDS_MAX as f64 });
    }
    let mut live = Live::new(plan.clone(), LiveOptions::default())?;
    let mut cursor = Cursor::new(rows);
    for second in 0..=RUN_SECONDS_MAX {
        let mut said = cursor.feed_until(second as f64, &mut live);
        said.extend(live.tick(second));
        for event in &said {
            if let ControlFlow::Break(with) = on_event(event, &live) {
                return Ok(ControlFlow::Break(with));
            }
        }
        if live.end().is_some() || second as f64 >= last_s {
            break;
        }
    }
    for event in live.close() {
        if let ControlFlow::Break(with) = on_event(&event, &live) {
            return Ok(ControlFlow::Break(with));
        }
    }
    Ok(ControlFlow::Continue(live.end().unwrap_or_else(|| live.end_now())))
}

/// Runs a rehearsal with the stand-in attendant to its end.
///
/// # Errors
/// [`AdviseError`] for a plan that breaks a rule or never boils.
pub fn rehearse(
    plan: &RunPlan,
    seed: u64,
    on_event: &mut dyn FnMut(&Event, &Live),
    on_rows: &mut dyn FnMut(&SecondRows),
) -> Result<RunEnd, AdviseError> {
    let mut live = Live::new(plan.clone(), LiveOptions::default())?;
    let mut rehearsal = Rehearsal::new(plan, seed, true)?;
    let mut due: Vec<Event> = Vec::new();
    for second in 0..=RUN_SECONDS_MAX {
        let rows = rehearsal.second(second, &due)?;
        let mut said = rows.feed(&mut live);
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
