//! Whether the still has heat, since when, and whether it has cooled down.

use still::plan::StepKind;

use crate::engine::Live;

/// Without heat for this long a still counts as cooled down, s, where its head is cool or not
/// read: a pot of 200 L gives off no vapour to speak of after half an hour. Judgement.
const COOLED_S: f64 = 1800.0;
/// Heated again after that, vapour is reckoned with after this long, s: judgement.
const AGAIN_S: f64 = 300.0;

/// Heat over time.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Heat {
    on: bool,
    /// Since when it is as it is, s.
    since_s: f64,
    cooled: bool,
}

impl Heat {
    /// Since when there is no heat, where there is none.
    pub(crate) fn off_since_s(&self) -> Option<f64> {
        (!self.on).then_some(self.since_s)
    }
}

impl Live {
    /// Follows the heat of this second.
    pub(crate) fn follow_heat(&mut self) {
        let on = self.heater_on();
        if on != self.course.heat.on {
            (self.course.heat.on, self.course.heat.since_s) = (on, self.now_s);
            let words = if on { "the heat is on again" } else { "the heat is off" };
            self.foresight.reasons.note(self.now_s, words);
        }
        let passed_s = self.now_s - self.course.heat.since_s;
        let cool = self.head_c().is_none_or(|head| head < crate::knowledge::COOL_C);
        if !on && cool && passed_s >= COOLED_S {
            self.course.heat.cooled = true;
        } else if on && (!cool || passed_s >= AGAIN_S) {
            self.course.heat.cooled = false;
        }
    }

    /// Whether vapour is or may be in the column: once it came it is there under heat, whatever a
    /// thermometer says, until the still has cooled down.
    pub(crate) fn vapour_about(&self) -> bool {
        let hot_head = self.head_c().is_some_and(|head| head > self.ambient_c() + 10.0);
        let came = self.course.vapour_s().is_some() && !self.course.heat.cooled;
        let cool =
            self.course.steps.kind() == StepKind::Stop && !self.course.heat.on && self.is_cool();
        self.begun() && (hot_head || came) && !cool
    }
}
