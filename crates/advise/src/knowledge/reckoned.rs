//! What should come and when, reckoned from the plan's forecast and from what was done since.
//!
//! Heat-up: the forecast's course, entered at the present pot temperature (else at the present
//! time), stretched by the heater's real power; the range comes from the charge and from losses that
//! may be half or half as much again. Drawing: the pure alcohol that the forecast puts at the end of
//! the step, less what was drawn, at the present take-off; the range from a weaker and a stronger
//! charge. Once the knee shows, the rise itself is carried on: it grows like an exponential.

use sense::Probe;
use still::outcome::EndedBy;

use super::{Band, Evidence};
use crate::engine::Live;
use crate::forecasts::{EIGHTY, Forecasts};
use crate::heat::STILL_BOILS_S;

/// Standard deviation of the heater's power, relative: judgement.
const POWER_SD: f64 = 0.03;
/// Standard deviation of the believed heat losses, relative: judgement.
const LOSS_SD: f64 = 0.5;
/// A head still on its plateau leaves at least this much time, s: the knee takes ten minutes.
const KNEE_S: f64 = 480.0;
/// Time over which a hot head cools to a third after the heat is off, s: judgement.
const COOLING_S: f64 = 900.0;
/// The head counts as cool under this, °C: judgement.
pub(crate) const COOL_C: f64 = 50.0;
/// Half of an 80 % band of a time is at least this, s: nobody acts by seconds.
pub(super) const HALF_LEAST_S: f64 = 30.0;

/// A time with its bands, where it comes from, and what should bring it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Reckoned {
    pub(crate) at: Band,
    pub(crate) by: Option<EndedBy>,
    pub(crate) evidence: Evidence,
    pub(crate) basis: String,
}

impl Reckoned {
    pub(super) fn new(at: Band, by: Option<EndedBy>, evidence: Evidence, basis: &str) -> Self {
        Self { at, by, evidence, basis: basis.to_owned() }
    }

    fn around(
        likely_s: f64,
        (before_s, after_s): (f64, f64),
        by: Option<EndedBy>,
        evidence: Evidence,
        basis: &str,
    ) -> Self {
        let (before_s, after_s) = (before_s.max(HALF_LEAST_S), after_s.max(HALF_LEAST_S));
        let at = Band::of_eighty(likely_s - before_s, likely_s, likely_s + after_s);
        Self::new(at, by, evidence, basis)
    }

    /// The same, nothing of it before `now_s`.
    pub(super) fn not_before(mut self, now_s: f64) -> Self {
        self.at = self.at.after_or_soon(now_s);
        self
    }
}

impl Live {
    /// Time to the boil: likely, and its relative standard deviation.
    fn time_to_boil(&self) -> Option<(f64, f64)> {
        let forecasts = self.foresight.forecasts.as_ref()?;
        let course = forecasts.nominal();
        let pot_c = self
            .probes
            .reader()
            .fresh(Probe::Pot, self.now_s)
            .filter(|_| !self.doubtful(Probe::Pot));
        let reached_s = pot_c.map_or(self.now_s, |pot_c| {
            let heating = course.rows.iter().take_while(|row| row.time_s <= course.boil_s);
            let (mut below, mut above) = (None, None);
            for row in heating {
                if row.pot_c <= pot_c {
                    below = Some((row.time_s, row.pot_c));
                } else if above.is_none() {
                    above = Some((row.time_s, row.pot_c));
                }
            }
            match (below, above) {
                (Some((t0, c0)), Some((t1, c1))) => t0 + (t1 - t0) * (pot_c - c0) / (c1 - c0),
                (Some((t0, _)), None) => t0.max(course.boil_s - 60.0),
                _ => 0.0,
            }
        });
        let left_s = (course.boil_s - reached_s).max(0.0);
        let lost_w = self.plan.still.boiler_loss_w_per_k * 40.0;
        let planned_w = forecasts.watts_at(0.0);
        // Before heat the plan's power is what the heat-up will have.
        let now_w = if self.begun() { self.heater_w() } else { planned_w };
        if now_w <= lost_w {
            return None;
        }
        let stretch = ((planned_w - lost_w) / (now_w - lost_w)).clamp(0.1, 20.0);
        let charge = &self.plan.charge;
        let litres = charge.litres_sd.map_or(0.03, |sd| sd / charge.litres);
        let loss = LOSS_SD * lost_w / now_w;
        let metered = self.probes.reader().fresh(Probe::Heater, self.now_s).is_some();
        let power = if metered { POWER_SD } else { POWER_SD.max(self.plan.still.power_log_sd()) };
        Some((left_s * stretch, litres.hypot(power).hypot(loss)))
    }

    /// When the first vapour should reach the head.
    pub(crate) fn first_vapour(&self) -> Option<Reckoned> {
        let course = self.foresight.forecasts.as_ref()?.nominal();
        let (left_s, sd) = self.time_to_boil()?;
        let likely = self.now_s + left_s + (course.head_jump_s - course.boil_s).max(0.0);
        let half = EIGHTY * sd * left_s + 60.0;
        let read = self.probes.reader().fresh(Probe::Pot, self.now_s).is_some();
        let basis =
            if read { "pot temperature and heater power" } else { "forecast of the heat-up" };
        let of = Reckoned::around(likely, (half, half), None, Evidence::Forecast, basis);
        Some(of.not_before(self.now_s))
    }

    /// The earliest boil that must be reckoned with, s: vapour may come from then on.
    pub(crate) fn earliest_boil_s(&self) -> Option<f64> {
        let (left_s, sd) = self.time_to_boil()?;
        Some((self.now_s + left_s * (1.0 - 1.96 * sd) - 60.0).max(self.now_s))
    }

    /// When the stages should be full.
    pub(super) fn filled(&self) -> Option<Reckoned> {
        let course = self.foresight.forecasts.as_ref()?.nominal();
        let fill_s = (course.ready_s - course.head_jump_s).max(0.0);
        let by = Some(EndedBy::Filled);
        if let Some(vapour_s) = self.course.vapour_s() {
            let around = (0.3 * fill_s, 0.3 * fill_s + 60.0);
            let at = vapour_s + fill_s;
            let of = Reckoned::around(at, around, by, Evidence::Reckoned, "the first vapour seen");
            return Some(of.not_before(self.now_s));
        }
        let mut of = self.first_vapour()?;
        of.at = of.at.map(|at| at + fill_s);
        of.by = by;
        Some(of)
    }

    /// The end of the running drawing step or of equalising, reckoned; the head is only used where
    /// it is read.
    pub(super) fn reckoned_end(&self) -> Option<Reckoned> {
        let step = self.plan.steps.get(self.course.steps.index())?;
        let by_course = step.until_rise_k.is_some()
            || step.until_strength_vol.is_some()
            || step.until_pot_c.is_some();
        let blind = by_course && self.blind();
        let course = if by_course && !blind { self.end_by_course() } else { None };
        // What the element's cover leaves is a bound, no end, where the course would end the step.
        let bound = |of: &Reckoned| blind && of.by == Some(EndedBy::ElementCover);
        let all = self.ends_by_count().into_iter().chain(course);
        let first = all.min_by(|a, b| a.at.p50.total_cmp(&b.at.p50)).filter(|of| !bound(of))?;
        Some(first.not_before(self.now_s))
    }

    /// The ends of the running step that minutes and millilitres bring.
    pub(super) fn ends_by_count(&self) -> Vec<Reckoned> {
        let now_s = self.now_s;
        let mut ends = Vec::new();
        let Some(step) = self.plan.steps.get(self.course.steps.index()) else { return ends };
        if let Some(minutes) = step.minutes {
            let at = self.course.steps.started().seconds() + 60.0 * minutes;
            let by = Some(EndedBy::Minutes);
            let basis = "the planned minutes";
            ends.push(Reckoned::new(Band::point(at), by, Evidence::Reckoned, basis));
        }
        let rate = self.steady_ml_min();
        if rate > 0.1 {
            let band = self.rate_doubt().max(0.03);
            let own = step.until_ml.map(|ml| (ml - self.spirit.drawn.step_ml(), EndedBy::UntilMl));
            let total =
                step.until_total_ml.map(|ml| (ml - self.spirit.drawn.ml(), EndedBy::UntilTotalMl));
            let cover_l = self.pot_litres().0 - self.plan.still.element_cover_litres;
            let cover = Some((1000.0 * cover_l, EndedBy::ElementCover));
            for (left_ml, by) in [own, total, cover].into_iter().flatten() {
                let left_s = 60.0 * left_ml.max(0.0) / rate;
                let basis = "take-off and the volume planned";
                let unseen_s = 60.0 * self.spirit.drawn.in_doubt().less_ml / rate;
                let around = (band * left_s, band * left_s + unseen_s);
                let at = now_s + left_s;
                ends.push(Reckoned::around(at, around, Some(by), Evidence::Reckoned, basis));
            }
        }
        ends
    }

    /// What the step's course ends by, where it does.
    fn course_cause(&self) -> Option<EndedBy> {
        let step = self.plan.steps.get(self.course.steps.index())?;
        if step.until_rise_k.is_some() {
            Some(EndedBy::UntilRiseK)
        } else if step.until_strength_vol.is_some() {
            Some(EndedBy::UntilStrengthVol)
        } else {
            step.until_pot_c.map(|_| EndedBy::UntilPotC)
        }
    }

    /// The end of the step by the pure alcohol still to come.
    fn end_by_alcohol(&self) -> Option<Reckoned> {
        let forecasts = self.foresight.forecasts.as_ref()?;
        let (low, likely, high) = forecasts.alcohol_at_end_of(self.course.steps.index())?;
        let alcohol_per_s = self.steady_ml_min() / 60_000.0 * self.running_strength() / 100.0;
        if alcohol_per_s <= 1e-7 {
            return None;
        }
        let drawn = self.spirit.drawn.alcohol_ml() / 1000.0;
        let doubt = 0.65 * self.spirit.drawn.band_ml() / 1000.0;
        let at = |alcohol: f64| self.now_s + (alcohol - drawn) / alcohol_per_s;
        let basis = "the charge as stated and what was drawn; the head cannot show this yet";
        // What ran unseen may still be in the pot.
        let unseen = self.spirit.drawn.in_doubt().less_alcohol_ml / 1000.0;
        let (mut low_s, mut likely_s) = (at(low - doubt), at(likely));
        let mut high_s = at(high + doubt + unseen);
        // A head still flat says that the end is not yet: the charge held more than stated.
        let step = self.plan.steps.get(self.course.steps.index())?;
        let flat = step.until_rise_k.is_some() && self.rise_k().is_some_and(|rise| rise < 0.1);
        if flat {
            likely_s = likely_s.max(self.now_s + KNEE_S);
            low_s = low_s.max(self.now_s + 0.5 * KNEE_S).min(likely_s);
            high_s = high_s.max(likely_s + 0.5 * KNEE_S);
        }
        let around = (likely_s - low_s, high_s - likely_s);
        let by = self.course_cause();
        Some(Reckoned::around(likely_s, around, by, Evidence::Reckoned, basis))
    }

    /// A head that is over the trigger of a slow phase already ends it once the trigger acts.
    fn rearm_end(&self) -> Option<Reckoned> {
        let latest_s = self.course.steps.rearm_latest_s()?;
        let trigger = self.plan.steps.get(self.course.steps.index())?.until_rise_k?;
        self.rise_k().filter(|rise| *rise >= trigger)?;
        let basis = "the head is over the line already; it may still fall back";
        let around = (0.0, HALF_LEAST_S);
        let by = Some(EndedBy::UntilRiseK);
        Some(Reckoned::around(latest_s, around, by, Evidence::Reckoned, basis))
    }

    /// The end of the step by the alcohol to come and, once the knee shows, by the rise.
    fn end_by_course(&self) -> Option<Reckoned> {
        if let Some(waits) = self.rearm_end() {
            return Some(waits);
        }
        match (self.knee_end(), self.end_by_alcohol()) {
            // A small rise says that the end is near, not yet when: the sooner of the two.
            (Some(knee), Some(alcohol)) if self.rise_k().is_some_and(|rise| rise < 0.3) => {
                let likely_s = knee.at.p50.min(alcohol.at.p50);
                let low_s = knee.at.p10.min(alcohol.at.p10);
                let high_s = alcohol.at.p90.min(knee.at.p90).max(likely_s);
                let around = (likely_s - low_s, high_s - likely_s);
                let basis = "the head begins to rise, the charge and what was drawn";
                Some(Reckoned::around(likely_s, around, knee.by, Evidence::Reckoned, basis))
            }
            (Some(knee), _) => Some(knee),
            (None, alcohol) => alcohol,
        }
    }

    /// The end of the step by the rise itself, once the knee shows.
    fn knee_end(&self) -> Option<Reckoned> {
        self.course.knee_s()?;
        let trigger = self.plan.steps.get(self.course.steps.index())?.until_rise_k?;
        let rise = self.rise_k()?.max(0.05);
        let slope = self.probes.head().slope_per_s(self.now_s, 300.0)?;
        if slope <= 2e-5 {
            return None;
        }
        let growth = (slope / rise).clamp(1.0 / 3600.0, 1.0 / 240.0);
        let left_s = ((trigger / rise).ln() / growth).max(0.0);
        let basis = "the head's own rise";
        let around = (0.4 * left_s, 0.8 * left_s + 60.0);
        let by = Some(EndedBy::UntilRiseK);
        Some(Reckoned::around(self.now_s + left_s, around, by, Evidence::Reckoned, basis))
    }

    /// When the head should be cool.
    pub(super) fn cool(&self) -> Option<Reckoned> {
        let head_c = self.head_in_vapour_c()?;
        let ambient_c = self.ambient_c();
        let over = (head_c - ambient_c) / (COOL_C - ambient_c).max(5.0);
        let left_s = COOLING_S * over.max(1.0).ln();
        let off_s = self.course.heat.off_since_s().unwrap_or(self.now_s);
        let boils_s = (off_s + STILL_BOILS_S - self.now_s).max(0.0);
        let left_s = left_s.max(boils_s);
        let around = ((0.5 * left_s).min(left_s - boils_s), left_s);
        let basis = "cooling in still air";
        let of = Reckoned::around(self.now_s + left_s, around, None, Evidence::Reckoned, basis);
        Some(of.not_before(self.now_s))
    }
}

/// How far the length of a later step may be off, relative (80 %).
pub(super) fn doubt_of(forecasts: &Forecasts, index: usize) -> f64 {
    let own = forecasts.step_litres(index).unwrap_or(0.0).max(0.01);
    let all = forecasts.alcohol_at_end_of(index).map_or(own, |(_, likely, _)| likely);
    (EIGHTY * forecasts.charge_sd() * all / own).clamp(0.1, 0.6)
}
