//! What a run that is over teaches: the fit to it, and when its steps were begun against when they
//! were due, as the engine would have said it.

use estimate::{Changes, Character, EstimateError, Lesson, Settings};
use sense::{Action, RecordedRun};
use still::plan::{RunPlan, StepKind};

use crate::engine::LiveOptions;
use crate::error::AdviseError;
use crate::event::{Event, EventKind, Priority};
use crate::replay::replay_as;

/// Fits a run that is over to its end and takes what it teaches into the still's character.
///
/// # Errors
/// As [`estimate::learn`]. Of a run that cannot be played through the engine no changes are counted.
pub fn learn(
    plan: &RunPlan,
    rows: &RecordedRun,
    before: &Character,
    settings: Settings,
) -> Result<Lesson, EstimateError> {
    let changes = changes(plan, rows).unwrap_or_default();
    estimate::learn(plan, rows, before, settings, changes)
}

/// When the steps of a recorded run were begun, against when they were due.
///
/// # Errors
/// As [`crate::replay`].
pub fn changes(plan: &RunPlan, rows: &RecordedRun) -> Result<Changes, AdviseError> {
    let mut due: Vec<f64> = Vec::new();
    let options = LiveOptions { estimate: false, ..LiveOptions::default() };
    replay_as(plan, rows, options, &mut |event, _| {
        if is_due(event) {
            due.push(event.time_s);
        }
    })?;
    let slow = plan.steps.windows(2).any(|pair| pair.iter().all(|s| s.kind == StepKind::Hearts));
    Ok(counted(rows, &due, slow))
}

/// Whether an event says that the running step is done.
fn is_due(event: &Event) -> bool {
    let done = match event.code {
        "foreshots_done" | "heads_done" | "slow_phase" | "stop" => true,
        // The same code says that the end is near, and then, more urgently, that it is there.
        "hearts_end_near" => event.priority >= Priority::High,
        _ => false,
    };
    done && event.kind == EventKind::Prompt
}

/// Steps begun in `rows` against the moments at which one was due; `slow` where the plan goes on with
/// the hearts slowly.
fn counted(rows: &RecordedRun, due: &[f64], slow: bool) -> Changes {
    let mut changes = Changes::default();
    let mut begun: Vec<(f64, StepKind)> = rows
        .actions
        .iter()
        .filter_map(|(time_s, action)| match action {
            Action::Step { kind } => Some((*time_s, *kind)),
            _ => None,
        })
        .collect();
    begun.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut before = (0.0, None);
    for (time_s, kind) in begun {
        let said = due.iter().find(|due_s| **due_s > before.0 && **due_s <= time_s);
        if let Some(due_s) = said {
            changes.begun(time_s - due_s);
        }
        // The fast hearts end once: in slow ones, or with what comes after where these were left out.
        if slow && before.1 == Some(StepKind::Hearts) && changes.slow_phases == 0 {
            changes.slow_phase(said.is_none() && kind == StepKind::Hearts);
        }
        before = (time_s, Some(kind));
    }
    changes
}

#[cfg(test)]
mod tests {
    use super::counted;
    use sense::{Action, RecordedRun};
    use still::plan::StepKind::{self, Heads, Hearts, Tails};

    fn begun(list: &[(f64, StepKind)]) -> RecordedRun {
        let actions = list.iter().map(|&(time_s, kind)| (time_s, Action::Step { kind }));
        RecordedRun { actions: actions.collect(), ..RecordedRun::default() }
    }

    #[test]
    fn a_step_is_as_late_as_its_prompt_is_old_and_one_without_a_prompt_was_early() {
        let rows = begun(&[(100.0, Heads), (500.0, Hearts), (4000.0, Hearts), (6100.0, Tails)]);
        // Said twice before the hearts; nothing before the slow ones.
        let changes = counted(&rows, &[430.0, 470.0, 6000.0], true);
        assert_eq!((changes.after_trigger, changes.late_s), (2, 170.0));
        assert_eq!((changes.slow_phases, changes.early), (1, 1));
    }

    #[test]
    fn slow_hearts_that_were_left_out_were_not_begun_early() {
        let rows = begun(&[(500.0, Hearts), (6100.0, Tails)]);
        let changes = counted(&rows, &[], true);
        assert_eq!((changes.slow_phases, changes.early), (1, 0));
        assert_eq!(counted(&rows, &[], false).slow_phases, 0);
    }

    #[test]
    fn who_forgot_a_step_for_an_hour_was_not_an_hour_late() {
        let rows = begun(&[(500.0, Hearts), (9600.0, Tails)]);
        assert_eq!(counted(&rows, &[6000.0], false).late_s, 900.0);
    }
}
