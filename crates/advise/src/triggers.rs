//! What is seen of the running step: for the walk through the plan, the head's rise over the
//! plateau, whether that rise is the knee of the hearts, and what the step ends by, in words.

use sense::Probe;
use still::outcome::EndedBy;
use still::plan::StepKind;
use still::walk::{Met, Observation};

use crate::engine::Live;
use crate::numbers::minutes;

/// The knee shows: at least this rise, K, and this slope over ten minutes, K/s.
const KNEE_RISE_K: f64 = 0.15;
const KNEE_SLOPE_K_PER_S: f64 = 0.10 / 600.0;
/// The same where little should be drawn yet, over five minutes.
const LARGE_RISE_K: f64 = 0.6;
const LARGE_SLOPE_K_PER_S: f64 = 0.6 / 600.0;
/// A head that has climbed by so much where half of the step's alcohol is drawn, by the forecast,
/// climbs all along: that of a still of few contacts, which has no knee, K (judgement).
const CLIMBS_K: f64 = 0.25;
/// So much more alcohol may be drawn in the forecast that its climb is compared with: a head is not
/// out of the plan that is ahead of it by a third, or climbs half as much again (judgement).
const AHEAD: f64 = 4.0 / 3.0;
const STEEPER: f64 = 1.5;

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
            drawing: draws && self.spirit.drawn.open() && self.heater_on() && !self.head_away(),
        }
    }

    /// The head over the plateau is counted only while it is read, has not stepped off its level and
    /// stands in vapour. A pot has no
    /// plateau, unless its plan asks for a rise above one.
    fn head_for_plateau(&self) -> Option<f64> {
        let asked = self.plan.steps.iter().any(|step| step.until_rise_k.is_some());
        let read = self.head_c().is_some() && self.heater_on() && self.head_steers();
        let head = self.probes.head().present()?;
        let counts = read && (asked || !self.is_pot()) && !self.course.level.is_over(head);
        counts.then_some(head)
    }

    /// Whether a head that is read in this run is not to be had, or has fallen under what vapour can
    /// be: that time is no time of hearts.
    fn head_away(&self) -> bool {
        let head = self.head_c().and(self.probes.head().present());
        let ever = self.probes.reader().of(Probe::Head).ever();
        ever && head.is_none_or(|head| self.course.level.is_over(head))
    }

    /// Follows how hot the head stands.
    pub(super) fn follow_level(&mut self) {
        let runs = self.course.steps.kind().draws() && self.heater_on();
        let head = self.head_c().and(self.probes.head().present()).filter(|_| runs);
        self.course.level.follow(self.now_s, head);
    }

    /// Rise of the head over the plateau, K; none while the head is not read or no plateau is known.
    pub(super) fn rise_k(&self) -> Option<f64> {
        let over = self.course.is_over()
            || matches!(self.course.steps.kind(), StepKind::Heat | StepKind::Stop);
        let runs = self.heater_on() && !over;
        self.head_c().filter(|_| runs)?;
        // Against a plateau that is only provisional a rise says nothing: light heads press it down.
        Some(self.probes.head().present()? - self.course.steps.plateau().plateau()?)
    }

    /// By how much the head may well stand over its plateau here, as the forecast climbs through a step
    /// that ends by something else than that climb; none where it does not, K.
    pub(super) fn planned_rise_k(&self) -> Option<f64> {
        let index = self.course.steps.index();
        let step = self.plan.steps.get(index).filter(|step| step.until_rise_k.is_none())?;
        let all = self.foresight.forecasts.as_ref().filter(|_| step.kind == StepKind::Hearts)?;
        let before_l = all.alcohol_before(index);
        let half_l = before_l + 0.5 * all.step(index)?.pure_alcohol_l;
        all.rise_k(index, half_l).filter(|climb| *climb >= CLIMBS_K)?;
        let drawn_l = self.spirit.drawn.alcohol_ml() / 1000.0 - before_l;
        Some(STEEPER * all.rise_k(index, before_l + AHEAD * drawn_l.max(0.0))?)
    }

    /// Follows whether the knee shows in the head.
    pub(super) fn follow_knee(&mut self) {
        if self.course.steps.kind() != StepKind::Hearts
            || self.planned_rise_k().is_some()
            || !self.spirit.drawn.open()
            || self.is_pot()
            || self.head_c().is_none()
            || !self.head_steers()
        {
            self.course.knee(None);
            return;
        }
        let over = match self.course.steps.plateau().plateau() {
            Some(_) => self.rise_k(),
            None => self
                .course
                .steps
                .plateau()
                .lowest_short_median()
                .and_then(|low| Some(self.probes.head().present()? - low - 0.15)),
        };
        let slope = |span_s: f64| self.probes.head().slope_per_s(self.now_s, span_s).unwrap_or(0.0);
        // Light heads that leave late also make the head rise, slowly: a small rise is the knee only
        // where most of the alcohol is drawn; a large and steep one is it whatever the charge said.
        let small = self.mostly_drawn()
            && over.is_some_and(|over| over >= KNEE_RISE_K)
            && slope(600.0) >= KNEE_SLOPE_K_PER_S;
        let large =
            over.is_some_and(|over| over >= LARGE_RISE_K) && slope(300.0) >= LARGE_SLOPE_K_PER_S;
        // A probe that has drifted low hides the rise but not the slope.
        let before = self.probes.head().median(self.now_s - 1500.0, self.now_s - 900.0);
        let grown =
            self.probes.head().present().zip(before).is_some_and(|(now, then)| now - then >= 0.25);
        let steep = self.mostly_drawn() && grown && slope(600.0) >= 2.0 * KNEE_SLOPE_K_PER_S;
        let shows = small || large || steep;
        let fades = over.is_none_or(|over| over < 0.5 * KNEE_RISE_K);
        match self.course.knee_s() {
            None if shows => self.course.knee(Some(self.now_s)),
            Some(_) if fades && !steep => self.course.knee(None),
            _ => {}
        }
    }

    /// Whether two thirds of the alcohol up to the end of this step is drawn, as far as is known.
    pub(super) fn mostly_drawn(&self) -> bool {
        let forecasts = self.foresight.forecasts.as_ref();
        let end =
            forecasts.and_then(|forecasts| forecasts.alcohol_at_end_of(self.course.steps.index()));
        end.is_none_or(|(low, _, _)| self.spirit.drawn.alcohol_ml() / 1000.0 >= 0.65 * low)
    }

    /// Which condition of the running step is met, with how it is known.
    pub(crate) fn trigger_reached(&self) -> Option<(EndedBy, String)> {
        let met = self.course.steps.met()?;
        // What was reckoned while nothing showed the still was not seen to run.
        let counted = matches!(met.by, EndedBy::UntilMl | EndedBy::UntilTotalMl);
        if counted && self.unseen_since_s().is_some() {
            return None;
        }
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
                format!("about {seen:.0} % vol ({})", basis.unwrap_or_default())
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
