//! Drives the engine through a recorded run.

use std::convert::Infallible;
use std::ops::ControlFlow;

use quantities::RunTime;
use sense::{Cursor, RecordedRun};
use still::plan::RunPlan;

use crate::engine::{Live, LiveOptions};
use crate::error::AdviseError;
use crate::event::Event;
use crate::knowledge::RunEnd;

/// Longest run that is driven, s: a fortnight.
pub const RUN_SECONDS_MAX: u64 = RunTime::SECONDS_MAX;

/// Plays a recorded run through the engine, a tick after the rows of each second.
///
/// # Errors
/// [`AdviseError`] for a plan that breaks a rule or rows past a fortnight.
pub fn replay(
    plan: &RunPlan,
    rows: &RecordedRun,
    on_event: &mut dyn FnMut(&Event, &Live),
) -> Result<RunEnd, AdviseError> {
    replay_as(plan, rows, LiveOptions::default(), on_event)
}

/// As [`replay`], with an engine of other options; without estimates it is some ten times faster.
///
/// # Errors
/// As [`replay`].
pub fn replay_as(
    plan: &RunPlan,
    rows: &RecordedRun,
    options: LiveOptions,
    on_event: &mut dyn FnMut(&Event, &Live),
) -> Result<RunEnd, AdviseError> {
    let played = drive(plan, rows, options, &mut |event, live| -> ControlFlow<Infallible> {
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
    drive(plan, rows, LiveOptions::default(), on_event)
}

fn drive<B>(
    plan: &RunPlan,
    rows: &RecordedRun,
    options: LiveOptions,
    on_event: &mut dyn FnMut(&Event, &Live) -> ControlFlow<B>,
) -> Result<ControlFlow<B, RunEnd>, AdviseError> {
    let last_s = rows.last_s();
    if !(last_s >= 0.0 && last_s <= RUN_SECONDS_MAX as f64) {
        return Err(AdviseError::Time { value: last_s, high: RUN_SECONDS_MAX as f64 });
    }
    let mut live = Live::new(plan.clone(), options)?;
    let mut cursor = Cursor::new(rows);
    for second in 0..=RUN_SECONDS_MAX {
        let mut said = Vec::new();
        while let Some(row) = cursor.next_until(second as f64) {
            said.extend(live.row(row));
        }
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

impl Live {
    /// Takes all rows of a record, in order.
    pub fn rows(&mut self, rows: &RecordedRun) -> Vec<Event> {
        let mut cursor = Cursor::new(rows);
        let mut said = Vec::new();
        while let Some(row) = cursor.next_until(f64::INFINITY) {
            said.extend(self.row(row));
        }
        said
    }
}
