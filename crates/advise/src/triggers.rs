//! What is seen of the running step, for the walk through the plan, and what it ends by, in words.

use sense::Probe;
use still::outcome::EndedBy;
use still::plan::StepKind;
use still::walk::{Met, Observation};

use crate::engine::Live;
use crate::numbers::minutes;

impl Live {
    /// What is seen now. What a probe cannot tell is missing.
    pub(crate) fn observation(&self) -> Observation {
        let draws = self.course.steps.kind().draws();
        Observation {
            time_s: self.now_s,
            step_ml: Some(self.spirit.drawn.step_ml()),
            total_ml: Some(self.spirit.drawn.ml()),
            drum_vol: self.strength_seen().filter(|_| draws).map(|strength| strength.at.p50),
            pot_c: self.probes.reader().fresh(Probe::Pot, self.now_s),
            head: self.head_for_plateau(),
            pot_litres: (draws || self.course.steps.kind() == StepKind::Equalise)
                .then(|| self.pot_litres().0),
            pot_share: None,
            vapour: None,
            filled: false,
            drawing: draws && self.spirit.drawn.open() && self.heater_on(),
        }
    }

    /// The head over the plateau is counted only while it is read and stands in vapour. A pot has no
    /// plateau, unless its plan asks for a rise above one.
    fn head_for_plateau(&self) -> Option<f64> {
        let asked = self.plan.steps.iter().any(|step| step.until_rise_k.is_some());
        let read = self.head_c().is_some() && self.heater_on();
        self.probes.head().present().filter(|_| read && (asked || !self.is_pot()))
    }

    /// Which condition of the running step is met, with how it is known.
    pub(crate) fn trigger_reached(&self) -> Option<(EndedBy, String)> {
        let met = self.course.steps.met()?;
        if met.by == EndedBy::UntilRiseK && !self.rise_counts() {
            return None;
        }
        Some((met.by, self.met_words(&met)))
    }

    fn met_words(&self, met: &Met) -> String {
        let seen = met.seen;
        match met.by {
            EndedBy::Minutes => format!("the planned {} are over", minutes(60.0 * seen)),
            EndedBy::UntilMl => format!("{seen:.0} mL reckoned from the take-off"),
            EndedBy::UntilTotalMl => format!("{seen:.0} mL drawn in all"),
            EndedBy::UntilRiseK => format!("the head stands {seen:.2} K above the plateau"),
            EndedBy::UntilPotC => format!("the pot stands at {seen:.1} °C"),
            EndedBy::UntilStrengthVol => {
                let basis = self.strength_now().map(|strength| strength.basis);
                format!("about {seen:.0} % vol, from the {}", basis.unwrap_or_default())
            }
            EndedBy::ElementCover => {
                format!("the pot should hold {seen:.1} L, the cover of the elements")
            }
            _ => "nothing more can be drawn".to_owned(),
        }
    }

    /// Whether a rise is the end of the step: not while light heads that leave late may be behind
    /// it, for then most of the alcohol is still to come and no knee shows.
    fn rise_counts(&self) -> bool {
        self.course.steps.kind() != StepKind::Hearts
            || self.course.knee_s().is_some()
            || self.mostly_drawn()
    }
}
