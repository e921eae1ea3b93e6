//! The moves that the engine makes by itself, each said, and the end of the run.
//!
//! A step begins when the person records it. The engine prompts and never begins a drawing step in
//! silence; it moves by itself only in three cases, each said in an event of kind `state`: a column
//! whose head is hot and steady is taken to equalise; a take-off that stands open for two minutes
//! with no step recorded is taken for the next drawing step; a heater that is off for a minute after
//! the prompt to stop is taken for the stop.

use still::plan::StepKind;

use super::engine::Live;
use super::event::Event;
use super::finding::state_event;

/// A take-off open this long without a step, or a heater off this long after the prompt to stop,
/// is taken as the step, s.
const OPEN_EARLY_S: f64 = 120.0;
const STOPPED_S: f64 = 60.0;
/// How long the end waits for the coolant to be closed, s.
const END_WAIT_S: f64 = 180.0;

impl Live {
    /// The kind of the step after the running one.
    pub(super) fn next_kind(&self) -> Option<StepKind> {
        self.plan.steps.get(self.course.steps.index() + 1).map(|step| step.kind)
    }

    /// Moves that the engine makes by itself, each said.
    pub(super) fn recognise(&mut self, said: &mut Vec<Event>) {
        let now_s = self.now_s;
        let next = self.next_kind();
        let (index, kind) = (self.course.steps.index(), self.course.steps.kind());
        let fill_s = self.forecast().map_or(300.0, |course| course.ready_s - course.head_jump_s);
        let filled = self.course.vapour_s().is_some_and(|at| now_s >= at + 1.3 * fill_s + 180.0);
        if kind == StepKind::Heat
            && next == Some(StepKind::Equalise)
            && filled
            && self.steady(180.0, 6.0)
        {
            let text = "The head is hot and steady: taken as equalising since now.".to_owned();
            said.push(state_event(now_s, "taken_as_equalising", text, "no step was recorded"));
            said.push(self.begin_step(now_s, index + 1, "recognised from the head"));
            return;
        }
        if self.hand.open_early_s.is_some_and(|at| now_s - at >= OPEN_EARLY_S) {
            self.hand.open_early_s = None;
            let drawing =
                (index + 1..self.plan.steps.len()).find(|i| self.plan.steps[*i].kind.draws());
            if let Some(target) = drawing {
                let text =
                    "The take-off stands open and no step was recorded: the next drawing step \
                            is taken as begun."
                        .to_owned();
                said.push(state_event(
                    now_s,
                    "taken_as_drawing",
                    text,
                    "from the recorded take-off",
                ));
                said.push(self.begin_step(now_s, target, "recognised from the take-off"));
            }
            return;
        }
        let off_long = self.hand.heater_off_s.is_some_and(|at| now_s - at >= STOPPED_S);
        if next == Some(StepKind::Stop)
            && off_long
            && self.voice.prompts.first_said_s("stop").is_some()
        {
            let text = "The heater is off after the prompt to stop: taken as stopped.".to_owned();
            said.push(state_event(now_s, "taken_as_stopped", text, "from the recorded heater"));
            said.push(self.begin_step(now_s, index + 1, "recognised from the heater"));
        }
    }

    /// Ends the run once it is stopped, cool and the coolant closed (or not closed for three minutes
    /// after the prompt). Judged only in a second with a row, so that a replay ends where the run did.
    pub(super) fn look_for_end(&mut self, said: &mut Vec<Event>) {
        if self.course.steps.kind() != StepKind::Stop || self.heater_on() || !self.row_since_tick {
            return;
        }
        let waited = self.voice.prompts.first_said_s("coolant_off");
        let waited = waited.is_some_and(|at| self.now_s - at >= END_WAIT_S);
        if self.is_cool() && (waited || !self.coolant_on()) {
            let end = self.finish("stopped and cool");
            said.extend(end);
        }
    }
}
