//! Which step of the plan the run is in.
//!
//! A step begins when the person records it. The engine prompts and never begins a drawing step in
//! silence; it moves by itself only in three cases, each said in an event of kind `state`: a column
//! whose head is hot and steady is taken to equalise; a take-off that stands open for two minutes
//! with no step recorded is taken for the next drawing step; a heater that is off for a minute after
//! the prompt to stop is taken for the stop.

use still::plan::{RunPlan, StepKind};

/// A step of the same kind this soon after is the same press, s: judgement.
const REPEATED_S: f64 = 10.0;

/// The running step.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Steps {
    pub(super) index: usize,
    pub(super) kind: StepKind,
    pub(super) started_s: f64,
    /// Whether any step was recorded by a person.
    pub(super) recorded: bool,
}

impl Steps {
    /// Before anything was recorded.
    pub(super) const fn new() -> Self {
        let kind = StepKind::Heat;
        Self { index: 0, kind, started_s: 0.0, recorded: false }
    }

    /// Where a recorded step of `kind` leads: the next of its kind, else one before (gone back to);
    /// none where it is the running one or not in the plan.
    pub(super) fn target(&self, plan: &RunPlan, kind: StepKind, time_s: f64) -> Option<usize> {
        let later = plan.steps.iter().enumerate().skip(self.index + 1);
        let next = later.into_iter().find(|(_, step)| step.kind == kind).map(|(index, _)| index);
        if kind == self.kind {
            // Hearts after hearts is the slow phase; otherwise, and right after the step began, it
            // is a repetition: a second press, a late packet.
            let repeated = time_s - self.started_s < REPEATED_S;
            return next.filter(|index| *index == self.index + 1 && !repeated);
        }
        next.or_else(|| plan.steps.iter().take(self.index).rposition(|step| step.kind == kind))
    }

    /// Begins step `index`.
    pub(super) fn begin(&mut self, plan: &RunPlan, index: usize, time_s: f64) {
        let Some(step) = plan.steps.get(index) else { return };
        self.index = index;
        self.kind = step.kind;
        self.started_s = time_s;
    }

    /// The kind of the step after the running one.
    pub(super) fn next_kind(&self, plan: &RunPlan) -> Option<StepKind> {
        plan.steps.get(self.index + 1).map(|step| step.kind)
    }
}
