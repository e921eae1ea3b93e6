//! The words of the sentence and of the strip: states, ends of steps, fractions.

use still::plan::{RunPlan, StepKind};

use super::State;
use crate::engine::Live;
use crate::numbers::minutes;

/// What a step is called.
pub(super) fn step_name(plan: &RunPlan, index: usize) -> &'static str {
    if plan.is_slow_phase(index) {
        return "slow hearts";
    }
    plan.steps.get(index).map_or("stop", |step| step.kind.name())
}

/// The whole phrase that the time of a step's end follows.
pub(super) fn end_words(plan: &RunPlan, index: usize) -> &'static str {
    match plan.steps[index].kind {
        StepKind::Heat => "The column should be full",
        StepKind::Equalise => "The head should be steady",
        StepKind::Foreshots => "The foreshots should be done",
        StepKind::Heads => "Heads should end",
        StepKind::Hearts if plan.is_slow_phase(index + 1) => "Fast hearts should end",
        StepKind::Hearts if plan.is_slow_phase(index) => "Slow hearts should end",
        StepKind::Hearts => "Hearts should end",
        StepKind::Tails => "Tails should end",
        StepKind::Stop => "The head should be cool",
    }
}

/// What begins at a step's end, for the strip.
pub(super) fn end_short(plan: &RunPlan, index: usize) -> &'static str {
    let next = plan.steps.get(index + 1).map_or(StepKind::Stop, |step| step.kind);
    match (plan.steps[index].kind, next) {
        (StepKind::Heat, _) => "filled",
        (StepKind::Equalise, _) => "steady",
        (_, StepKind::Hearts) if plan.is_slow_phase(index + 1) => "slow hearts",
        (_, StepKind::Heat | StepKind::Equalise) => "total reflux",
        (_, StepKind::Foreshots) => "foreshots begin",
        (_, StepKind::Heads) => "heads begin",
        (_, StepKind::Hearts) => "hearts begin",
        (_, StepKind::Tails) => "tails begin",
        (_, StepKind::Stop) => "stop",
    }
}

impl Live {
    /// First words of the sentence.
    pub(super) fn headline(&self, state: State) -> String {
        let under_way = self.drawing_or_equalising() && self.heater_on() && !self.course.is_over();
        if under_way && self.warms_again() {
            return "Warming up again.".to_owned();
        }
        let words = self.state_words(state);
        match self.unseen_since_s().filter(|_| under_way) {
            Some(from_s) => {
                format!("{words} Nothing has shown it for {}.", minutes(self.now_s - from_s))
            }
            None => words,
        }
    }

    fn state_words(&self, state: State) -> String {
        let jar = self.spirit.jars.open.as_ref();
        let jar = jar.map_or(String::new(), |open| format!(" into jar {}", open.number));
        match state {
            State::BeforeHeat => "Not heating.".to_owned(),
            State::Heating if self.course.vapour_s().is_some() => {
                "Heating; the column fills.".to_owned()
            }
            State::Heating => "Heating.".to_owned(),
            State::Equalising => "Equalising.".to_owned(),
            State::Foreshots => format!("Taking foreshots{jar}."),
            State::Heads => format!("Taking heads{jar}."),
            State::Hearts => "Collecting hearts.".to_owned(),
            State::SlowHearts => "Hearts, slowly.".to_owned(),
            State::Tails => "Taking tails.".to_owned(),
            State::CoolingDown if self.is_cool() => "Heat is off and the still is cool.".to_owned(),
            State::CoolingDown => {
                format!("Heat is off; coolant on until {}.", self.cool_when())
            }
            State::Interrupted => {
                "The heat is off in mid-run; the jars so far stay valid.".to_owned()
            }
            State::Ended => "The run is over.".to_owned(),
        }
    }
}
