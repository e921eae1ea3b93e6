//! Whether vapour has come, and whether it is still about.

use still::plan::StepKind;

use crate::engine::Live;
use crate::knowledge::COOL_C;

/// How far the head must stand over ambient for vapour to have arrived, K.
const VAPOUR_OVER_AMBIENT_K: f64 = 20.0;
/// A head this far over ambient stands in vapour, or did a moment ago, K: judgement.
const HOT_OVER_AMBIENT_K: f64 = 10.0;

impl Live {
    /// Notes when vapour reaches the head; without a head thermometer, when the pot boils.
    pub(super) fn look_for_vapour(&mut self, time_s: f64) {
        if self.course.vapour_s().is_some() || !self.begun() {
            return;
        }
        let hot = match self.probes.head().last() {
            Some((_, corrected_c)) => {
                corrected_c + self.probes.shift_k() >= self.ambient_c() + VAPOUR_OVER_AMBIENT_K
            }
            None => self.foresight.forecasts.as_ref().is_some_and(|forecasts| {
                let course = forecasts.nominal();
                let boil_c = forecasts.at_time(course.boil_s).map(|row| row.pot_c);
                match (self.probes.pot().last(), boil_c) {
                    (Some((_, pot_c)), Some(boil_c)) => pot_c >= boil_c - 0.3,
                    _ => time_s >= course.head_jump_s,
                }
            }),
        };
        if hot {
            self.course.vapour_comes(time_s);
        }
    }

    /// Follows the heat of this second.
    pub(crate) fn follow_heat(&mut self) {
        let on = self.heater_on();
        let cool = self.head_c().is_none_or(|head| head < COOL_C);
        if self.course.heat.follow(self.now_s, on, cool) {
            let words = if on { "the heat is on again" } else { "the heat is off" };
            self.foresight.reasons.note(self.now_s, words);
        }
    }

    /// Whether vapour is or may be in the column: once it came it is there under heat, whatever a
    /// thermometer says, until the still has cooled down.
    pub(crate) fn vapour_about(&self) -> bool {
        let over_k = self.head_c().map(|head| head - self.ambient_c());
        let hot_head = over_k.is_some_and(|over_k| over_k > HOT_OVER_AMBIENT_K);
        let heat = &self.course.heat;
        let came = self.course.vapour_s().is_some() && !heat.has_cooled();
        let stopped = self.course.steps.kind() == StepKind::Stop;
        let cool = stopped && !heat.is_on() && self.is_cool();
        self.begun() && (hot_head || came) && !cool
    }
}
