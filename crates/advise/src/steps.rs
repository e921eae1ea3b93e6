//! Which step of the plan the run is in, and what ends it.
//!
//! A step begins when the person records it. The engine prompts and never begins a drawing step in
//! silence; it moves by itself only in three cases, each said in an event of kind `state`: a column
//! whose head is hot and steady is taken to equalise; a take-off that stands open for two minutes
//! with no step recorded is taken for the next drawing step; a heater that is off for a minute after
//! the prompt to stop is taken for the stop.

use still::plan::{RunPlan, StepKind};
use still::walk::{Met, Observation, PlanWalk};

/// A step of the same kind this soon after is the same press, s: judgement.
const REPEATED_S: f64 = 10.0;

/// The walk through the plan, as recorded.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Steps {
    walk: PlanWalk,
    /// What ends the running step now, where anything does.
    met: Option<Met>,
    /// Whether any step was recorded by a person.
    pub(super) recorded: bool,
}

impl Steps {
    /// Before anything was recorded.
    pub(super) fn new(plan: &RunPlan) -> Self {
        Self { walk: PlanWalk::new(plan), met: None, recorded: false }
    }

    /// Position of the running step.
    pub(super) const fn index(&self) -> usize {
        self.walk.index()
    }

    /// What the running step does.
    pub(super) const fn kind(&self) -> StepKind {
        self.walk.kind()
    }

    /// When it began, s.
    pub(super) const fn started_s(&self) -> f64 {
        self.walk.start_s()
    }

    /// The walk itself.
    pub(super) const fn walk(&self) -> &PlanWalk {
        &self.walk
    }

    /// The plateau of this run at standard pressure, once known, °C.
    pub(super) const fn plateau_c(&self) -> Option<f64> {
        self.walk.plateau().plateau()
    }

    /// What ends the running step now.
    pub(super) const fn met(&self) -> Option<Met> {
        self.met
    }

    /// Takes what is seen in this second; says whether the plateau became known.
    pub(super) fn observe(&mut self, seen: &Observation) -> bool {
        let before = self.plateau_c().is_some();
        self.met = self.walk.observe(seen);
        !before && self.plateau_c().is_some()
    }

    /// Where a recorded step of `kind` leads: the next of its kind, else one before (gone back to);
    /// none where it is the running one or not in the plan.
    pub(super) fn target(&self, plan: &RunPlan, kind: StepKind, time_s: f64) -> Option<usize> {
        let later = plan.steps.iter().enumerate().skip(self.index() + 1);
        let next = later.into_iter().find(|(_, step)| step.kind == kind).map(|(index, _)| index);
        if kind == self.kind() {
            // Hearts after hearts is the slow phase; otherwise, and right after the step began, it
            // is a repetition: a second press, a late packet.
            let repeated = time_s - self.started_s() < REPEATED_S;
            return next.filter(|index| *index == self.index() + 1 && !repeated);
        }
        next.or_else(|| plan.steps.iter().take(self.index()).rposition(|step| step.kind == kind))
    }

    /// Begins step `index`.
    pub(super) fn begin(&mut self, plan: &RunPlan, index: usize, time_s: f64) {
        self.walk.begin(plan, index, time_s);
        self.met = None;
    }

    /// The kind of the step after the running one.
    pub(super) fn next_kind(&self, plan: &RunPlan) -> Option<StepKind> {
        plan.steps.get(self.index() + 1).map(|step| step.kind)
    }
}
