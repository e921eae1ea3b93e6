//! What is wrong, all together; and of it what concerns the attendant, the head and the liquid left.

use still::plan::StepKind;

use super::due::STEP_DONE;
use super::engine::Live;
use super::finding::Found;
use super::numbers::minutes;
use super::rules::{
    ATTENDANT_ABSENT_ABSENT, ATTENDANT_ABSENT_LONG, BOIL_OVER_HEAD_JUMPED,
    BOIL_OVER_HEAD_JUMPED_BEFORE_S, BOIL_OVER_HEAD_JUMPED_SETTLED_S, ELEMENT_COVER_BARE,
    ELEMENT_COVER_NEAR, ELEMENT_COVER_NEAR_LEAD_S, HEAD_RUNNING_AWAY_EARLY,
    HEAD_RUNNING_AWAY_EARLY_DRAWN_SHARE, HEAD_RUNNING_AWAY_EARLY_SLOPE_K_PER_S,
    HEAD_RUNNING_AWAY_PAST, HEAD_RUNNING_AWAY_PAST_RUN_ON_S, HEAD_RUNNING_AWAY_PAST_SLOPE_K_PER_S,
    HEAD_RUNNING_AWAY_PAST_SLOWED_S,
};

impl Live {
    /// Everything that is wrong now.
    pub(super) fn findings(&self) -> Vec<Found> {
        let mut all = self.coolant_findings();
        all.extend(self.hazard_findings());
        all.extend(self.heat_findings());
        all.extend(self.reading_findings());
        all.extend(self.plan_findings());
        let here = [
            self.runaway_finding(),
            self.boil_over_finding(),
            self.absent_finding(),
            self.cover_finding(),
        ];
        all.extend(here.into_iter().flatten());
        all
    }

    /// Seconds until the attendant counts as absent.
    pub(super) fn attendant_left_s(&self) -> f64 {
        self.hand.last_s + ATTENDANT_ABSENT_ABSENT.limit - self.now_s
    }

    fn absent_finding(&self) -> Option<Found> {
        let away_s = self.now_s - self.hand.last_s;
        if !self.heater_on() || away_s < ATTENDANT_ABSENT_ABSENT.limit {
            return None;
        }
        let long = away_s >= ATTENDANT_ABSENT_LONG.limit;
        let cause = if long { &ATTENDANT_ABSENT_LONG } else { &ATTENDANT_ABSENT_ABSENT };
        let how = format!("no action and no press for {}", minutes(away_s));
        Some(cause.found("Nobody seems to be at the heated still.", how))
    }

    fn runaway_finding(&self) -> Option<Found> {
        if self.course.steps.kind() != StepKind::Hearts
            || self.is_pot()
            || !self.spirit.drawn.open()
        {
            return None;
        }
        let told_s = self.voice.prompts.first_said_on(self.course.steps.index() as u64 + STEP_DONE);
        if told_s.is_some_and(|at| self.now_s - at < HEAD_RUNNING_AWAY_PAST_RUN_ON_S) {
            return None;
        }
        // Slow hearts that have just begun: the head answers to the slower take-off first.
        let begun_s = self.course.steps.started().seconds();
        if self.course.steps.is_slow_phase()
            && self.now_s - begun_s < HEAD_RUNNING_AWAY_PAST_SLOWED_S
        {
            return None;
        }
        // A still of few contacts climbs by plan: what it does beyond that counts.
        let planned = self.planned_rise_k().unwrap_or(0.0);
        let shown = self.rise_k()?;
        let rise = shown - planned;
        let trigger = self.plan.steps.get(self.course.steps.index())?.until_rise_k.unwrap_or(1.0);
        let slope = self
            .probes
            .head()
            .slope_per_s(self.now_s, 180.0)
            .or(self.probes.head().slope_per_s(self.now_s, 300.0))?;
        // Once it is told, it is over when the head comes back, not where it rests on its way.
        let alarms = &self.voice.alarms;
        let told = [&HEAD_RUNNING_AWAY_PAST, &HEAD_RUNNING_AWAY_EARLY];
        let told = told.into_iter().any(|cause| alarms.since_s(cause).is_some());
        let past = alarms.is_over(&HEAD_RUNNING_AWAY_PAST, rise - trigger)
            && (told || slope >= HEAD_RUNNING_AWAY_PAST_SLOPE_K_PER_S);
        let early = rise >= HEAD_RUNNING_AWAY_EARLY.limit
            && slope >= HEAD_RUNNING_AWAY_EARLY_SLOPE_K_PER_S
            && self.long_before_end();
        let how =
            format!("{shown:.2} K above the plateau, rising {:.1} K in 10 min", 600.0 * slope);
        if early {
            let text = "The head runs away long before the charge should be spent.";
            return Some(HEAD_RUNNING_AWAY_EARLY.found(text, how));
        }
        past.then(|| HEAD_RUNNING_AWAY_PAST.found("The head runs away from the plateau.", how))
    }

    fn long_before_end(&self) -> bool {
        let forecasts = self.foresight.forecasts.as_ref();
        let end =
            forecasts.and_then(|forecasts| forecasts.alcohol_at_end_of(self.course.steps.index()));
        end.is_some_and(|(low, _, _)| {
            let drawn_l = self.spirit.drawn.alcohol_ml() / 1000.0;
            drawn_l < HEAD_RUNNING_AWAY_EARLY_DRAWN_SHARE * low
        })
    }

    /// By how much the head should climb in so long by the forecast, K: fast in a still of few
    /// contacts.
    fn planned_climb_k(&self, within_s: f64) -> f64 {
        let climb = self.foresight.forecasts.as_ref().zip(self.place()).and_then(|(all, here)| {
            Some(all.at_time(here.time_s + within_s)?.head_c - here.head_c)
        });
        climb.map_or(0.0, |climb| climb.max(0.0))
    }

    /// Liquid or foam comes up the column: the head is far hotter than a minute ago.
    fn boil_over_finding(&self) -> Option<Found> {
        let settled_s = BOIL_OVER_HEAD_JUMPED_SETTLED_S;
        let settled = self.course.vapour_s().is_some_and(|at| self.now_s - at >= settled_s)
            && self.course.heat.on_since_s().is_some_and(|at| self.now_s - at >= settled_s);
        let late = self.course.steps.kind() == StepKind::Tails || self.course.knee_s().is_some();
        if !settled || late || !self.drawing_or_equalising() {
            return None;
        }
        self.head_c()?;
        let now_c = self.probes.head().lower_of_last_two()?;
        let (from_s, to_s) = (
            self.now_s - 4.0 * BOIL_OVER_HEAD_JUMPED_BEFORE_S,
            self.now_s - BOIL_OVER_HEAD_JUMPED_BEFORE_S,
        );
        let before_c = self.probes.head().median(from_s, to_s)?;
        let jump_k = now_c - before_c;
        let planned_k = self.planned_climb_k(4.0 * BOIL_OVER_HEAD_JUMPED_BEFORE_S);
        self.voice.alarms.is_over(&BOIL_OVER_HEAD_JUMPED, jump_k - planned_k).then(|| {
            let how = format!("the head is {jump_k:.1} K hotter than a minute ago");
            BOIL_OVER_HEAD_JUMPED.found("The still may boil over.", how)
        })
    }

    fn cover_finding(&self) -> Option<Found> {
        if !self.heater_on() {
            return None;
        }
        let cover_l = self.plan.still.element_cover_litres;
        let (likely, low) = self.pot_litres();
        let lead_l = self.rate_ml_min() / 1000.0 * ELEMENT_COVER_NEAR_LEAD_S / 60.0;
        let bare = likely <= cover_l;
        if !bare && low > cover_l + lead_l {
            return None;
        }
        let cause = if bare { &ELEMENT_COVER_BARE } else { &ELEMENT_COVER_NEAR };
        let text = format!(
            "The pot should hold {likely:.1} L; the elements need {cover_l:.1} L over them."
        );
        let how = format!("charge less what was drawn; it may be {low:.1} L");
        Some(cause.found(text, how))
    }
}
