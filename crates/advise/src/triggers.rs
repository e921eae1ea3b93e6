//! Whether the running step is done: the conditions of the plan, judged by what was seen.

use sense::Probe;
use still::outcome::EndedBy;
use still::plan::StepKind;

use crate::engine::Live;
use crate::numbers::minutes;

impl Live {
    /// Which condition of the running step is met, with how it is known.
    pub(super) fn trigger_reached(&self) -> Option<(EndedBy, String)> {
        let step = self.plan.steps.get(self.steps.index)?;
        let passed_s = self.now_s - self.steps.started_s;
        if step.minutes.is_some_and(|planned| passed_s >= 60.0 * planned) {
            return Some((EndedBy::Minutes, format!("the planned {} are over", minutes(passed_s))));
        }
        if step.until_ml.is_some_and(|ml| self.drawn.step_ml() >= ml) {
            let drawn = self.drawn.step_ml();
            return Some((EndedBy::UntilMl, format!("{drawn:.0} mL reckoned from the take-off")));
        }
        if step.until_total_ml.is_some_and(|ml| self.drawn.ml() >= ml) {
            let drawn = self.drawn.ml();
            return Some((EndedBy::UntilTotalMl, format!("{drawn:.0} mL drawn in all")));
        }
        if let Some(rise) = self.armed_rise().zip(step.until_rise_k).filter(|(rise, k)| rise >= k) {
            let text = format!("the head stands {:.2} K above the plateau", rise.0);
            return Some((EndedBy::UntilRiseK, text));
        }
        if let Some(limit) = step.until_strength_vol
            && step.kind.draws()
            && let Some(now) = self.strength_now().filter(|now| now.at.p50 <= limit)
        {
            let text = format!("about {:.0} % vol, from the {}", now.at.p50, now.basis);
            return Some((EndedBy::UntilStrengthVol, text));
        }
        let pot_c = self.channels.fresh(Probe::Pot, self.now_s);
        pot_c
            .zip(step.until_pot_c)
            .filter(|(pot, limit)| pot >= limit)
            .map(|(pot, _)| (EndedBy::UntilPotC, format!("the pot stands at {pot:.1} °C")))
    }

    /// The rise, where the running step's rise trigger acts: not while light heads that leave late
    /// may be behind it, for then most of the alcohol is still to come and no knee shows.
    fn armed_rise(&self) -> Option<f64> {
        self.plateau.fixed_c()?;
        if self.steps.kind == StepKind::Hearts && self.knee_s.is_none() && !self.mostly_drawn() {
            return None;
        }
        let slow = self.plan.is_slow_phase(self.steps.index);
        if slow && !self.slow_armed { None } else { self.rise_k() }
    }
}
