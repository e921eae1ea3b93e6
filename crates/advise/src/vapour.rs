//! Whether vapour has come, and whether it is still about.

use sense::Probe;
use sense::coolant::TOO_HOT_C;
use still::plan::StepKind;

use crate::engine::Live;
use crate::knowledge::COOL_C;

/// How far the head must stand over ambient for vapour to have arrived, K.
const VAPOUR_OVER_AMBIENT_K: f64 = 20.0;
/// A head this far over ambient stands in vapour, or did a moment ago, K: judgement.
const HOT_OVER_AMBIENT_K: f64 = 10.0;

/// The pot boils where it is as hot as the forecast boils, less this, K (common practice: cheap
/// thermometers), or not so near but hardly warming any more under heat. Beside a head that is read
/// and cold only the latter counts: a charge, a probe or a heater is often a little off.
const AT_BOIL_K: f64 = 0.3;
const NEAR_BOIL_K: f64 = 4.0;
/// A pot that warms by less than this share of what it should before the boil boils: judgement.
const STANDS_SHARE: f64 = 0.25;
/// Under this share of the planned heat, warming tells nothing: judgement.
const FULL_SHARE: f64 = 0.5;
/// Over which its warming is looked at, s.
const WARMING_S: f64 = 300.0;
/// A head that is read and cold so much later than the boil should reach it is none: a share of that
/// time, and s. Judgement.
const LATE_SHARE: f64 = 1.5;
const LATE_S: f64 = 180.0;

/// How a pot stands to its boil.
#[derive(Debug, Clone, Copy)]
struct Pot {
    /// As hot as it boils by the forecast, under heat.
    hot: bool,
    /// Near that, and hardly warming any more under most of the planned heat.
    stands: bool,
}

impl Live {
    /// Notes when vapour comes: when the head grows hot; where it is not read, when the pot boils;
    /// where it is read and stays cold, some time after the pot boils.
    pub(super) fn look_for_vapour(&mut self, time_s: f64) {
        if !self.begun() {
            return;
        }
        let head_c = self.probes.head().last().map(|(_, c)| c + self.probes.shift_k());
        let hot = head_c.map(|head_c| head_c >= self.ambient_c() + VAPOUR_OVER_AMBIENT_K);
        if self.course.vapour_s().is_some() {
            if hot == Some(true) {
                self.course.head_is_hot(true);
            }
            return;
        }
        let pot = self.pot_boils(time_s);
        let stands_s = self.course.stands(time_s, pot.is_some_and(|pot| pot.stands));
        match hot {
            Some(true) => self.course.vapour_comes(time_s),
            Some(false) => {
                let late_s = self.head_lag_s().map(|lag_s| LATE_SHARE * lag_s + LATE_S);
                let since = stands_s.zip(late_s);
                if since.is_some_and(|(at_s, late_s)| time_s - at_s >= late_s) {
                    self.course.vapour_comes(time_s);
                    self.course.head_is_hot(false);
                }
            }
            None if pot.map_or_else(|| self.should_boil(time_s), |pot| pot.hot || pot.stands) => {
                self.course.vapour_comes(time_s);
            }
            None => {}
        }
    }

    /// How long after the boil vapour should reach the head with the present heat, s.
    fn head_lag_s(&self) -> Option<f64> {
        let forecasts = self.foresight.forecasts.as_ref()?;
        let course = forecasts.nominal();
        let slower = (forecasts.watts_at(0.0) / self.heater_w().max(1.0)).max(1.0);
        Some((course.head_jump_s - course.boil_s).max(0.0) * slower)
    }

    /// Whether vapour should be at the head by the time alone.
    fn should_boil(&self, time_s: f64) -> bool {
        let forecasts = self.foresight.forecasts.as_ref();
        forecasts.is_some_and(|forecasts| time_s >= forecasts.nominal().head_jump_s)
    }

    /// How the pot stands to its boil, as its thermometer shows; none where it is not read.
    fn pot_boils(&self, time_s: f64) -> Option<Pot> {
        let forecasts = self.foresight.forecasts.as_ref()?;
        let boil_s = forecasts.nominal().boil_s;
        let pot_at = |time_s: f64| forecasts.at_time(time_s).map(|row| row.pot_c);
        let boil_c = pot_at(boil_s)?;
        let pot_c = self.probes.reader().fresh(Probe::Pot, time_s)?;
        let warming = pot_at(boil_s - WARMING_S).map(|before_c| (boil_c - before_c) / WARMING_S);
        let warms = self.probes.pot().slope_per_s(time_s, WARMING_S);
        let flat = warms.zip(warming).is_some_and(|(now, plan)| now < STANDS_SHARE * plan);
        // Turned down before the boil, or just turned on, it warms slowly too.
        let heat = &self.course.heat;
        let full = self.heater_w() >= FULL_SHARE * forecasts.watts_at(0.0)
            && heat.on_since_s().is_some_and(|on_s| time_s - on_s >= WARMING_S);
        Some(Pot {
            hot: self.heater_on() && pot_c >= boil_c - AT_BOIL_K,
            stands: full && flat && pot_c >= boil_c - NEAR_BOIL_K,
        })
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
        self.begun() && (hot_head || came || self.shown_by_others()) && !cool
    }

    /// Whether other signs than the head show vapour: whoever equalises or draws has seen it, and
    /// nothing else makes the coolant's outlet so hot.
    fn shown_by_others(&self) -> bool {
        let heat = self.course.heat.is_on();
        let recorded = self.course.is_recorded() && !self.course.heat.has_cooled();
        let begun = recorded && self.drawing_or_equalising();
        let out_c = self.probes.reader().fresh(Probe::CoolantOut, self.now_s);
        heat && (begun || out_c.is_some_and(|out_c| out_c > TOO_HOT_C))
    }
}
