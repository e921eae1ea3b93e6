//! What should come and when.
//!
//! Heat-up: the forecast's course, entered at the present pot temperature (else at the present
//! time), stretched by the heater's real power; the range comes from the charge and from losses that
//! may be half or half as much again. Drawing: the pure alcohol that the forecast puts at the end of
//! the step, less what was drawn, at the present take-off; the range from a weaker and a stronger
//! charge. Once the knee shows, the rise itself is carried on: it grows like an exponential.

use still::outcome::EndedBy;
use still::plan::StepKind;

use super::advice::{Boundary, Expectation, State};
use super::engine::Live;
use super::forecasts::{EIGHTY, Forecasts};
use super::numbers::minutes;
use estimate::Quantiles;
use sense::Probe;

/// Standard deviation of the heater's power, relative.
const POWER_SD: f64 = 0.03;
/// Standard deviation of the believed heat losses, relative.
const LOSS_SD: f64 = 0.5;
/// A head still on its plateau leaves at least this much time, s: the knee takes ten minutes.
const KNEE_S: f64 = 480.0;
/// Time over which a hot head cools to a third after the heat is off, s.
const COOLING_S: f64 = 900.0;
/// The head counts as cool under this, °C.
pub(super) const COOL_C: f64 = 50.0;

/// A time with its 80 % range.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Span {
    pub(super) earliest_s: f64,
    pub(super) likely_s: f64,
    pub(super) latest_s: f64,
    pub(super) basis: String,
}

impl Span {
    /// The 80 % band of an estimate.
    pub(super) fn of_outlook(at_s: Quantiles) -> Self {
        let basis = "everything measured so far".to_owned();
        Self { earliest_s: at_s.p10, likely_s: at_s.p50, latest_s: at_s.p90, basis }
    }

    fn around(likely_s: f64, before_s: f64, after_s: f64, basis: &str) -> Self {
        let (earliest_s, latest_s) = (likely_s - before_s, likely_s + after_s);
        Self { earliest_s, likely_s, latest_s, basis: basis.to_owned() }
    }

    fn not_before(mut self, now_s: f64) -> Self {
        self.earliest_s = self.earliest_s.max(now_s);
        self.likely_s = self.likely_s.max(self.earliest_s);
        self.latest_s = self.latest_s.max(self.likely_s);
        self
    }
}

impl Live {
    /// Time to the boil: likely, and its relative standard deviation.
    fn time_to_boil(&self) -> Option<(f64, f64)> {
        let forecasts = self.forecasts.as_ref()?;
        let course = forecasts.nominal();
        let pot_c =
            self.channels.fresh(Probe::Pot, self.now_s).filter(|_| !self.frozen(Probe::Pot));
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
        Some((left_s * stretch, litres.hypot(POWER_SD).hypot(loss)))
    }

    /// When the first vapour should reach the head.
    pub(super) fn first_vapour(&self) -> Option<Span> {
        let course = self.forecasts.as_ref()?.nominal();
        let (left_s, sd) = self.time_to_boil()?;
        let likely = self.now_s + left_s + (course.head_jump_s - course.boil_s).max(0.0);
        let half = EIGHTY * sd * left_s + 60.0;
        let read = self.channels.fresh(Probe::Pot, self.now_s).is_some();
        let basis =
            if read { "pot temperature and heater power" } else { "forecast of the heat-up" };
        Some(Span::around(likely, half, half, basis).not_before(self.now_s))
    }

    /// The earliest boil that must be reckoned with, s: vapour may come from then on.
    pub(super) fn earliest_boil_s(&self) -> Option<f64> {
        let (left_s, sd) = self.time_to_boil()?;
        Some((self.now_s + left_s * (1.0 - 1.96 * sd) - 60.0).max(self.now_s))
    }

    /// When the stages should be full.
    fn filled(&self) -> Option<Span> {
        let course = self.forecasts.as_ref()?.nominal();
        let fill_s = (course.ready_s - course.head_jump_s).max(0.0);
        if let Some(vapour_s) = self.vapour_s {
            let span =
                Span::around(vapour_s + fill_s, 0.3 * fill_s, 0.3 * fill_s + 60.0, "forecast");
            return Some(span.not_before(self.now_s));
        }
        let mut span = self.first_vapour()?;
        span.earliest_s += fill_s;
        span.likely_s += fill_s;
        span.latest_s += fill_s;
        Some(span)
    }

    /// When the running step should end.
    pub(super) fn step_end(&self) -> Option<Span> {
        let now_s = self.now_s;
        let step = self.plan.steps.get(self.steps.index)?;
        match self.steps.kind {
            StepKind::Heat => return self.filled(),
            StepKind::Stop => return self.cool(),
            _ => {}
        }
        if self.steps.kind == StepKind::Hearts
            && let Some(at_s) = self.fresh_outlook().and_then(|outlook| outlook.step_end_s)
        {
            return Some(Span::of_outlook(at_s).not_before(now_s));
        }
        let mut ends: Vec<Span> = Vec::new();
        if let Some(minutes) = step.minutes {
            let at = self.steps.started_s + 60.0 * minutes;
            ends.push(Span::around(at, 0.0, 0.0, "the planned minutes"));
        }
        let rate = self.rate_ml_min();
        if rate > 0.1 {
            let band = self.drawn.rate_band().max(0.03);
            let own = step.until_ml.map(|ml| ml - self.drawn.step_ml());
            let total = step.until_total_ml.map(|ml| ml - self.drawn.ml());
            for left_ml in [own, total].into_iter().flatten() {
                let left_s = 60.0 * left_ml.max(0.0) / rate;
                let basis = "take-off and the volume planned";
                ends.push(Span::around(now_s + left_s, band * left_s, band * left_s, basis));
            }
        }
        let by_course = step.until_rise_k.is_some()
            || step.until_strength_vol.is_some()
            || step.until_pot_c.is_some();
        if by_course {
            ends.extend(self.end_by_course());
        }
        let first = ends.into_iter().min_by(|a, b| a.likely_s.total_cmp(&b.likely_s))?;
        Some(first.not_before(now_s))
    }

    /// The end of the step by the pure alcohol still to come.
    fn end_by_alcohol(&self) -> Option<Span> {
        let forecasts = self.forecasts.as_ref()?;
        let (low, likely, high) = forecasts.alcohol_at_end_of(self.steps.index)?;
        let alcohol_per_s = self.rate_ml_min() / 60_000.0 * self.strength_or_usual() / 100.0;
        if alcohol_per_s <= 1e-7 {
            return None;
        }
        let drawn = self.drawn.alcohol_ml() / 1000.0;
        let doubt = 0.65 * self.drawn.band_ml() / 1000.0;
        let at = |alcohol: f64| self.now_s + (alcohol - drawn) / alcohol_per_s;
        let basis = "the charge as stated and what was drawn; the head cannot show this yet";
        let mut span = Span {
            earliest_s: at(low - doubt),
            likely_s: at(likely),
            latest_s: at(high + doubt),
            basis: basis.to_owned(),
        };
        // A head still flat says that the end is not yet: the charge held more than stated.
        let step = self.plan.steps.get(self.steps.index)?;
        let flat = step.until_rise_k.is_some() && self.rise_k().is_some_and(|rise| rise < 0.1);
        if flat {
            span.likely_s = span.likely_s.max(self.now_s + KNEE_S);
            span.earliest_s = span.earliest_s.max(self.now_s + 0.5 * KNEE_S).min(span.likely_s);
            span.latest_s = span.latest_s.max(span.likely_s + 0.5 * KNEE_S);
        }
        Some(span)
    }

    /// The end of the step by the alcohol to come and, once the knee shows, by the rise.
    fn end_by_course(&self) -> Option<Span> {
        match (self.knee_end(), self.end_by_alcohol()) {
            // A small rise says that the end is near, not yet when: the sooner of the two.
            (Some(knee), Some(alcohol)) if self.rise_k().is_some_and(|rise| rise < 0.3) => {
                let likely_s = knee.likely_s.min(alcohol.likely_s);
                Some(Span {
                    earliest_s: knee.earliest_s.min(alcohol.earliest_s),
                    likely_s,
                    latest_s: alcohol.latest_s.min(knee.latest_s).max(likely_s),
                    basis: "the head begins to rise, the charge and what was drawn".to_owned(),
                })
            }
            (Some(knee), _) => Some(knee),
            (None, alcohol) => alcohol,
        }
    }

    /// The end of the step by the rise itself, once the knee shows.
    fn knee_end(&self) -> Option<Span> {
        self.knee_s?;
        let trigger = self.plan.steps.get(self.steps.index)?.until_rise_k?;
        let rise = self.rise_k()?.max(0.05);
        let slope = self.head.slope_per_s(self.now_s, 300.0)?;
        if slope <= 2e-5 {
            return None;
        }
        let growth = (slope / rise).clamp(1.0 / 3600.0, 1.0 / 240.0);
        let left_s = ((trigger / rise).ln() / growth).max(0.0);
        let basis = "the head's own rise";
        Some(Span::around(self.now_s + left_s, 0.4 * left_s, 0.8 * left_s + 60.0, basis))
    }

    /// When the head should be cool.
    fn cool(&self) -> Option<Span> {
        let head_c = self.head_c()?;
        let ambient_c = self.ambient_c();
        let over = (head_c - ambient_c) / (COOL_C - ambient_c).max(5.0);
        let left_s = COOLING_S * over.max(1.0).ln();
        let span = Span::around(self.now_s + left_s, 0.5 * left_s, left_s, "cooling in still air");
        Some(span.not_before(self.now_s))
    }

    /// The expectation of the sentence, while the run goes on.
    pub(super) fn expectation(&self, state: State) -> Option<Expectation> {
        if matches!(state, State::BeforeHeat | State::CoolingDown | State::Ended) {
            return None;
        }
        let kind = self.steps.kind;
        let slow = self.plan.is_slow_phase(self.steps.index);
        let what = match kind {
            StepKind::Heat if self.vapour_s.is_none() => "first_vapour",
            StepKind::Heat | StepKind::Equalise => "head_steady",
            StepKind::Foreshots => "foreshots_end",
            StepKind::Heads => "heads_end",
            StepKind::Hearts if slow => "slow_end",
            StepKind::Hearts => "hearts_end",
            StepKind::Tails => "tails_end",
            StepKind::Stop => return None,
        };
        let span = if what == "first_vapour" { self.first_vapour() } else { self.step_end() }?;
        Some(Expectation {
            what,
            earliest_s: span.earliest_s,
            likely_s: span.likely_s,
            latest_s: span.latest_s,
            basis: span.basis,
        })
    }

    /// Ends of the running and the later steps.
    pub(super) fn boundaries(&self) -> Vec<Boundary> {
        let mut ends = Vec::new();
        let Some(mut span) = self.step_end() else { return ends };
        let forecasts = self.forecasts.as_ref();
        for index in self.steps.index..self.plan.steps.len() {
            let step = &self.plan.steps[index];
            if step.kind == StepKind::Stop {
                break;
            }
            if index > self.steps.index {
                let given = step.minutes.filter(|_| step.kind == StepKind::Equalise);
                let course = forecasts.and_then(|forecasts| forecasts.duration_s(index));
                let Some(length_s) = given.map(|minutes| 60.0 * minutes).or(course) else { break };
                let doubt = forecasts.map_or(0.15, |forecasts| doubt_of(forecasts, index));
                span.earliest_s += length_s * (1.0 - doubt);
                span.likely_s += length_s;
                span.latest_s += length_s * (1.0 + doubt);
            }
            ends.push(Boundary {
                step_index: index,
                step: step.kind,
                earliest_s: span.earliest_s,
                likely_s: span.likely_s,
                latest_s: span.latest_s,
            });
        }
        ends
    }

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
            && let Some(now) = self.strength_now().filter(|now| now.value <= limit)
        {
            let text = format!("about {:.0} % vol, from the {}", now.value, now.basis);
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

/// How far the length of a later step may be off, relative (80 %).
fn doubt_of(forecasts: &Forecasts, index: usize) -> f64 {
    let own = forecasts.step_litres(index).unwrap_or(0.0).max(0.01);
    let all = forecasts.alcohol_at_end_of(index).map_or(own, |(_, likely, _)| likely);
    (EIGHTY * forecasts.charge_sd() * all / own).clamp(0.1, 0.6)
}
