//! What the plan should give: the forecast as stated, and for a weaker and a stronger charge.
//!
//! The clock of a forecast is the pure alcohol drawn: a live run that stands at the same litres of
//! pure alcohol stands at the same place of its course, whatever its take-off was.

use std::sync::Arc;

use quantities::Band;
use still::forecast::{Options, forecast};
use still::outcome::{Forecast, Row, StepOutcome};
use still::plan::{RunPlan, StepKind, likely_kind};
use still::{Cancel, StillError};

/// Least relative standard deviation of the pure alcohol in the charge that is believed.
const CHARGE_SD_LEAST: f64 = 0.02;
/// Deviation of litres and of strength where none is stated, relative.
const CHARGE_SD_UNSTATED: f64 = 0.03;
/// Share of the drawn alcohol that the model itself may be wrong by (standard deviation).
const MODEL_SD: f64 = 0.015;
/// 80 % of a normal distribution lies within so many standard deviations (definition).
pub(super) const EIGHTY: f64 = 1.2816;

/// The band of a value as stated from those of a weaker and a stronger charge, its 10 and 90 %
/// points; the outer points lie farther off as those of a normal distribution do.
fn around(likely: f64, others: impl Iterator<Item = f64>) -> Band {
    let ends = |(low, high): (f64, f64), value: f64| (low.min(value), high.max(value));
    let (low, high) = others.fold((likely, likely), ends);
    let outer = Band::SCORES[4] / Band::SCORES[3];
    let (below, above) = (likely - low, high - likely);
    Band::from_array([likely - outer * below, low, likely, high, likely + outer * above])
        .at_least(0.0)
}

/// The same where what is in doubt is a factor: as far off as a log-normal distribution reaches.
fn around_by_factor(likely: f64, others: impl Iterator<Item = f64>) -> Band {
    let near = around(likely, others);
    if near.p10 <= 0.0 || likely <= 0.0 {
        return near;
    }
    let outer = Band::SCORES[4] / Band::SCORES[3];
    let far = |ninety: f64| likely * (ninety / likely).powf(outer);
    Band { p025: far(near.p10), p975: far(near.p90), ..near }
}

/// What the doubt about the charge leaves open before heat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outset {
    /// End of all hearts, run time, s.
    pub hearts_end_s: Band,
    /// Litres of all hearts at 20 °C.
    pub hearts_l: Band,
    /// End of the run, run time, s.
    pub end_s: Band,
}

/// The band around a forecast before heat, from a weaker and a stronger charge; none where no
/// hearts are drawn, or where neither of the two can be forecast.
#[must_use]
pub fn outset(plan: &RunPlan, options: &Options, nominal: &Forecast) -> Option<Outset> {
    let sd = charge_sd(plan);
    let others: Vec<Forecast> = [-EIGHTY, EIGHTY]
        .into_iter()
        .filter_map(|sigmas| forecast(&shifted(plan, sigmas * sd), options).ok())
        .collect();
    if others.is_empty() {
        return None;
    }
    let powers = powered(plan, options);
    let span = |of: fn(&Forecast) -> Option<f64>| {
        let likely = of(nominal)?;
        let by_charge = around(likely, others.iter().filter_map(of));
        if powers.is_empty() {
            return Some(by_charge);
        }
        Some(both(by_charge, around_by_factor(likely, powers.iter().filter_map(of)), likely))
    };
    let hearts_l = span(|course| Some(hearts(course).map(|step| step.litres_20c).sum()))?;
    Some(Outset {
        hearts_end_s: span(|course| hearts(course).last().map(|step| step.end_s))?,
        hearts_l: hearts_l.map(|litres| litres.min(plan.charge.litres)),
        end_s: span(|course| Some(course.end_s))?,
    })
}

/// The courses of a weaker and a stronger heat, where its power is not that of a label.
fn powered(plan: &RunPlan, options: &Options) -> Vec<Forecast> {
    if plan.still.heat_source.is_electric() {
        return Vec::new();
    }
    let course = |sigmas: f64| {
        let factor = (sigmas * plan.still.power_log_sd()).exp();
        let mut other = plan.clone();
        for step in &mut other.steps {
            step.watts = step.watts.map(|watts| watts * factor);
        }
        other.still.elements_watts = vec![plan.heater_power().watts() * factor];
        forecast(&other, options).ok()
    };
    [-EIGHTY, EIGHTY].into_iter().filter_map(course).collect()
}

/// The band of two causes that have nothing to do with each other.
fn both(one: Band, other: Band, likely: f64) -> Band {
    let (a, b) = (one.to_array(), other.to_array());
    Band::from_array(std::array::from_fn(|i| {
        let wide = (a[i] - likely).hypot(b[i] - likely);
        if i < 2 { (likely - wide).max(0.0) } else { likely + wide }
    }))
}

fn hearts(course: &Forecast) -> impl Iterator<Item = &StepOutcome> {
    course.steps.iter().filter(|step| step.kind == StepKind::Hearts)
}

/// The plan with a charge weaker or stronger by a share.
fn shifted(plan: &RunPlan, share: f64) -> RunPlan {
    let mut other = plan.clone();
    let strength = other.charge.strength_vol * (1.0 + share);
    other.charge.strength_vol = strength.clamp(0.1, 95.0);
    // The same liquid, though what it has of feints might be more than a weaker one holds.
    if other.charge.feints.take().is_some() {
        other.charge.kind = Some(likely_kind(&plan.charge));
    }
    other
}

/// Three courses of the same plan; copies share them.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecasts {
    nominal: Arc<Forecast>,
    weak: Option<Arc<Forecast>>,
    strong: Option<Arc<Forecast>>,
    charge_sd: f64,
    /// Kept for heater power at a time of the nominal course.
    watts: Vec<(f64, f64)>,
}

/// Relative standard deviation of the pure alcohol in the charge.
fn charge_sd(plan: &RunPlan) -> f64 {
    let charge = &plan.charge;
    let litres = charge.litres_sd.map_or(CHARGE_SD_UNSTATED, |sd| sd / charge.litres);
    let strength = charge.strength_sd.map_or(CHARGE_SD_UNSTATED, |sd| sd / charge.strength_vol);
    litres.hypot(strength).hypot(MODEL_SD).clamp(CHARGE_SD_LEAST, 0.3)
}

impl Forecasts {
    /// Computes them.
    ///
    /// # Errors
    /// [`StillError`] where the plan as stated cannot be forecast.
    pub fn of(plan: &RunPlan) -> Result<Self, StillError> {
        Self::unless_cancelled(plan, &Cancel::never())
    }

    /// Computes them until they are no longer wanted.
    ///
    /// # Errors
    /// As [`Self::of`]; [`StillError::Cancelled`] where any of the courses was broken off.
    pub fn unless_cancelled(plan: &RunPlan, cancel: &Cancel) -> Result<Self, StillError> {
        let options = Options { cancel: cancel.clone(), ..Options::default() };
        let nominal = forecast(plan, &options)?;
        let sd = charge_sd(plan);
        // A course beside the one as stated may have no answer; one that was broken off has none yet.
        let course = |sigmas: f64| match forecast(&shifted(plan, sigmas * sd), &options) {
            Err(error @ StillError::Cancelled { .. }) => Err(error),
            other => Ok(other.ok()),
        };
        Ok(Self::from_parts(nominal, course(-EIGHTY)?, course(EIGHTY)?, sd))
    }

    /// From courses computed elsewhere.
    pub(super) fn from_parts(
        nominal: Forecast,
        weak: Option<Forecast>,
        strong: Option<Forecast>,
        charge_sd: f64,
    ) -> Self {
        let watts = nominal.steps.iter().map(|step| (step.start_s, step.watts)).collect();
        let (nominal, weak, strong) = (Arc::new(nominal), weak.map(Arc::new), strong.map(Arc::new));
        Self { nominal, weak, strong, charge_sd, watts }
    }

    /// The course as stated.
    #[must_use]
    pub fn nominal(&self) -> &Forecast {
        &self.nominal
    }

    /// The latest end of the run of a charge that is weaker or stronger (4 in 5), s.
    pub(super) fn latest_end_s(&self) -> f64 {
        let others = [&self.weak, &self.strong].into_iter().flatten();
        others.map(|course| course.end_s).fold(self.nominal.end_s, f64::max)
    }

    /// Relative standard deviation of the pure alcohol in the charge.
    pub(super) const fn charge_sd(&self) -> f64 {
        self.charge_sd
    }

    /// A step of the course as stated.
    pub(super) fn step(&self, index: usize) -> Option<&StepOutcome> {
        self.nominal.steps.iter().find(|step| step.index == index)
    }

    /// Pure alcohol drawn before step `index` in the course as stated, L.
    pub(super) fn alcohol_before(&self, index: usize) -> f64 {
        let before = self.nominal.steps.iter().filter(|step| step.index < index);
        before.map(|step| step.pure_alcohol_l).sum()
    }

    /// Litres drawn in a step in the course as stated.
    pub(super) fn step_litres(&self, index: usize) -> Option<f64> {
        self.step(index).map(|step| step.litres_20c)
    }

    /// Pure alcohol drawn up to the end of step `index`: low, likely and high, L (80 %).
    pub(super) fn alcohol_at_end_of(&self, index: usize) -> Option<(f64, f64, f64)> {
        let sum = |course: &Forecast| {
            let reached = course.steps.iter().any(|step| step.index == index);
            let until = course.steps.iter().filter(|step| step.index <= index);
            reached.then(|| until.map(|step| step.pure_alcohol_l).sum::<f64>())
        };
        let likely = sum(&self.nominal)?;
        let spread = likely * EIGHTY * self.charge_sd;
        let low = self.weak.as_deref().and_then(sum).unwrap_or(likely - spread).min(likely);
        let high = self.strong.as_deref().and_then(sum).unwrap_or(likely + spread).max(likely);
        Some((low, likely, high))
    }

    /// How far at most the head of the course as stated stands over its plateau in step `index`, until
    /// so much pure alcohol is drawn in all, K; none where it has no plateau.
    pub(super) fn rise_k(&self, index: usize, pure_alcohol_l: f64) -> Option<f64> {
        let (step, plateau_c) = self.step(index).zip(self.nominal.plateau_c)?;
        let within = self.nominal.rows.iter().filter(|row| {
            (step.start_s..=step.end_s).contains(&row.time_s)
                && row.pure_alcohol_l <= pure_alcohol_l
        });
        Some(within.map(|row| row.head_c - plateau_c).fold(0.0, f64::max))
    }

    /// The row of the course as stated at a time.
    pub(super) fn at_time(&self, time_s: f64) -> Option<&Row> {
        let rows = &self.nominal.rows;
        let after = rows.partition_point(|row| row.time_s <= time_s);
        rows.get(after.saturating_sub(1))
    }

    /// The row of the course as stated where that much pure alcohol was drawn.
    pub(super) fn at_alcohol(&self, pure_alcohol_l: f64) -> Option<&Row> {
        self.rows_from(pure_alcohol_l).first()
    }

    /// That row and those after it.
    fn rows_from(&self, pure_alcohol_l: f64) -> &[Row] {
        let rows = &self.nominal.rows;
        let after = rows.partition_point(|row| row.pure_alcohol_l <= pure_alcohol_l);
        &rows[after.saturating_sub(1)..]
    }

    /// Strength of the spirit in the course as stated where that much pure alcohol was drawn, % vol.
    /// Past the end of the plan it falls with what is left in the pot, as that of weak liquid does.
    pub(super) fn strength_at_alcohol(&self, pure_alcohol_l: f64) -> Option<f64> {
        // The first spirit comes between two rows.
        let mut from_there = self.rows_from(pure_alcohol_l).iter();
        let strength_vol = from_there.find_map(|row| row.distillate_vol)?;
        let totals = &self.nominal.totals;
        let left_l = totals.left_in_pot_l * totals.left_in_pot_vol / 100.0;
        let past_l = (pure_alcohol_l - totals.pure_alcohol_l).clamp(0.0, left_l.max(0.0));
        Some(if left_l > 0.0 { strength_vol * (1.0 - past_l / left_l) } else { strength_vol })
    }

    /// Heater power of the course as stated at a time, W.
    pub(super) fn watts_at(&self, time_s: f64) -> f64 {
        let after = self.watts.partition_point(|(start, _)| *start <= time_s);
        self.watts.get(after.saturating_sub(1)).map_or(0.0, |(_, watts)| *watts)
    }
}
