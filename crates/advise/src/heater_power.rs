//! Heat that is not what was recorded, and heat that is on after the plan.

use sense::{HEATER_OFF_W, Probe};
use still::plan::StepKind;

use crate::engine::Live;
use crate::finding::Found;
use crate::numbers::minutes;
use crate::rules::{
    HEATER_LEFT_ON_AFTER_THE_PLAN, HEATER_POWER_LESS, HEATER_POWER_MORE, HEATER_POWER_NONE,
    HEATER_POWER_NONE_SETTLES_S,
};

impl Live {
    /// All of them.
    pub(crate) fn heat_findings(&self) -> Vec<Found> {
        [self.power_finding(), self.left_on_finding()].into_iter().flatten().collect()
    }

    /// Whether the plan is through: the stop began, or was prompted for in the running step.
    fn is_through(&self) -> bool {
        let last = self.course.steps.index() + 1 >= self.plan.steps.len();
        let prompted =
            self.voice.prompts.due(|code, occasion, at| self.is_done(code, occasion, at));
        last || self.course.steps.kind() == StepKind::Stop
            || prompted.iter().any(|prompt| prompt.code == "stop")
    }

    /// What the meter has shown since the heater was last changed, against what was recorded then.
    fn power_finding(&self) -> Option<Found> {
        let said_w = self.hand.heater_w.filter(|watts| *watts > HEATER_OFF_W)?;
        self.probes.reader().fresh(Probe::Heater, self.now_s)?;
        // What was read before the change stands until the next reading, a minute long with some.
        let since_s = self.hand.heater_s + HEATER_POWER_NONE_SETTLES_S;
        let mean_w = self.probes.heater().mean(self.now_s, since_s)?;
        let how = format!("the meter shows {mean_w:.0} W, {said_w:.0} W are recorded");
        let alarms = &self.voice.alarms;
        if mean_w <= HEATER_OFF_W {
            let text = "The heater takes no power though heat is recorded on.";
            return (!self.is_through()).then(|| HEATER_POWER_NONE.found(text, how));
        }
        if alarms.is_over(&HEATER_POWER_MORE, mean_w / said_w) {
            let text = "The heater takes much more power than is recorded.";
            return Some(HEATER_POWER_MORE.found(text, how));
        }
        if alarms.is_under(&HEATER_POWER_LESS, mean_w / said_w) && !self.is_through() {
            let text = "The heater takes less than half of the power that is recorded.";
            return Some(HEATER_POWER_LESS.found(text, how));
        }
        None
    }

    fn left_on_finding(&self) -> Option<Found> {
        if !self.heater_on() || !self.is_through() {
            return None;
        }
        let cause = &HEATER_LEFT_ON_AFTER_THE_PLAN;
        let since_s = self.voice.alarms.since_s(cause).unwrap_or(self.now_s);
        let how = format!("{:.0} W, {} later", self.heater_w(), minutes(self.now_s - since_s));
        Some(cause.found("The plan is through and the heat is still on.", how))
    }
}
