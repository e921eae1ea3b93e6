//! Whether the knee of the hearts shows in the head: the rise that is the end, and no other.

use still::plan::StepKind;

use crate::engine::Live;

/// The knee shows: at least this rise, K, and this slope over ten minutes, K/s.
const KNEE_RISE_K: f64 = 0.15;
const KNEE_SLOPE_K_PER_S: f64 = 0.10 / 600.0;
/// The same where little should be drawn yet, over five minutes.
const LARGE_RISE_K: f64 = 0.6;
const LARGE_SLOPE_K_PER_S: f64 = 0.6 / 600.0;

impl Live {
    /// Follows whether the knee shows in the head.
    pub(super) fn follow_knee(&mut self) {
        if self.course.steps.kind() != StepKind::Hearts
            || !self.spirit.drawn.open()
            || self.is_pot()
        {
            self.course.knee(None);
            return;
        }
        let over = match self.course.steps.plateau_c() {
            Some(_) => self.rise_k(),
            None => self
                .course
                .steps
                .walk()
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
}
