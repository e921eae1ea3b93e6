//! What a run says of itself among others: how it stands, and why it needs a person next.

use advise::{Event, Knowledge, Priority, State};
use store::RunMode;

use super::state::{Drive, RunSession};
use crate::wire::attending::{AttendedWire, NeedWire, StandingWire};
use crate::wire::run::RunKindWire;
use crate::wire::twin::Twin;

impl RunSession {
    /// The run's line; none where it is not going on.
    pub(super) fn attended(&self) -> Option<AttendedWire> {
        let going_on = self.ended.is_none() && self.mode != RunMode::Imported;
        let started_ms = self.started_ms().filter(|_| going_on)?;
        let known = self.engine.knowledge();
        let (mode, speed) = match (self.mode, &self.drive) {
            (RunMode::Rehearsal { .. }, Drive::Rehearsal(simulated)) => {
                (RunKindWire::Rehearsal, Some(simulated.speed()))
            }
            (RunMode::Rehearsal { .. }, _) => (RunKindWire::Rehearsal, Some(0.0)),
            _ => (RunKindWire::Real, None),
        };
        let (need, words, in_run_s) = need(&known);
        // A rehearsal that is halted comes to nothing by itself.
        let in_s = in_run_s.and_then(|run_s| match speed {
            None => Some(run_s),
            Some(speed) if speed > 0.0 || run_s == 0.0 => Some(run_s / speed.max(1e-9)),
            Some(_) => None,
        });
        Some(AttendedWire {
            id: self.id.to_string(),
            title: self.log.title.clone(),
            still: self.plan.still.name.clone(),
            mode,
            example: self.example,
            speed,
            need,
            words,
            in_s,
            now: Some(StandingWire {
                time_s: known.time_s,
                started_ms,
                state: known.state.twin(),
                headline: known.headline.twin(),
                step: known.step.name.to_owned(),
                ends: known.ends.twin(),
                alarms: known.alarms.twin(),
                seen: known.seen.twin(),
                prompts: known.prompts.twin(),
                attendant_left_s: known.attendant_left_s,
            }),
        })
    }
}

/// Why a person is needed, in words, and in how much run time.
fn need(known: &Knowledge) -> (NeedWire, String, Option<f64>) {
    // An alarm that a person has seen presses less than what is due, unless it is critical.
    let seen = |alarm: &&Event| known.seen.iter().any(|code| *code == alarm.code);
    let presses = |alarm: &&Event| alarm.priority == Priority::Critical || !seen(alarm);
    if let Some(alarm) = known.alarms.iter().find(presses) {
        return (NeedWire::Alarm, alarm.text.clone(), Some(0.0));
    }
    if let Some(prompt) = known.prompts.first() {
        return (NeedWire::Due, prompt.text.clone(), Some(0.0));
    }
    if let Some(alarm) = known.alarms.first() {
        return (NeedWire::Alarm, alarm.text.clone(), Some(0.0));
    }
    if known.state == State::Interrupted {
        return (NeedWire::Due, known.headline.clone(), Some(0.0));
    }
    let absent_s = known.attendant_left_s.max(0.0);
    let next = known.ends.first().map(|end| {
        // The early end of the band: who comes then is not too late.
        ((end.at.p10 - known.time_s).max(0.0), end.words.clone())
    });
    match next {
        Some((in_s, words)) if in_s <= absent_s => (NeedWire::Comes, words, Some(in_s)),
        _ if known.state == State::Ended => (NeedWire::Nothing, String::new(), None),
        _ => (NeedWire::Comes, "Somebody should look in".to_owned(), Some(absent_s)),
    }
}
