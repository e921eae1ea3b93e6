//! From a fit to bands: draws of the unknowns carried on to the ends, with what no fit can know
//! added: the model's own error, the valve in times to come, a pause, a slowing.

use still::outcome::EndedBy;
use still::plan::{StepKind, StillKind, TakeOff};
use still::track::End;

use super::believe::{LITRES, STRENGTH};
use super::by_strength::limit_vol;
use super::draws::{Normal, dot};
use super::end_draws::EndDraws;
use super::factors::EndFactors;
use super::foresight::{Foresight, UNIFORM_SD};
use super::model::{Simulated, Unknowns, is_of_few};

/// Strongest spirit that can run, % vol: the azeotrope (handbook).
pub(super) const STRONGEST_VOL: f64 = 97.2;
/// Shortest and longest pause, shares of the mean (judgement).
const PAUSE: (f64, f64) = (0.3, 1.7);
/// The end is at least this far away while it has not come, s.
const LEAST_LEFT_S: f64 = 30.0;
/// By how much a run may slow down outside its plan, relative.
const SLOWED_MOST: f64 = 0.7;
/// A draw of the hearts holds at most this much of the alcohol believed in the charge: judgement.
const MORE_THAN_CHARGED: f64 = 1.1;
/// The rate to come is at most this many times the rate of now: judgement.
const QUICKER_AT_MOST: f64 = 1.5;
/// Heat that boils off a litre of strong spirit, J: 0.81 kg of 0.9 MJ/kg (handbook, rounded down).
const VAPORISED_J_PER_L: f64 = 7e5;
/// Ln spread of what is left of the hearts for each unit by which the misfit is over 1, and at most:
/// judgement, by the errors on four runs of a measured still (doi 10.1109/ACCESS.2022.3197604).
const WRONG: f64 = 1.0;
const WRONG_MOST: f64 = 0.6;
/// The same of any column of few contacts whose hearts end at a strength: nothing pins it there, and
/// a small error of it is a large one of the end. From the same four runs, each forecast after
/// learning from the other three.
const WRONG_FEW: f64 = 0.3;
/// With less than one draw in so many left, the end is imminent or overdue.
const DRAWS_LEAST: usize = 30;

/// How the bands of an end depend on the unknowns, and what comes on top.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sensitivity {
    /// Of ln litres and of the end in s, per standard deviation of each unknown.
    pub(super) litres: Unknowns,
    pub(super) end_s: Unknowns,
    /// Model error of the litres, relative, and the seconds that go with all of them.
    pub(super) floor: f64,
    pub(super) floor_s: f64,
    /// Time left, s, and what its rate does not hold to, relative.
    pub(super) left_s: f64,
    pub(super) rate_floor: f64,
    pub(super) take_off_sd: f64,
    /// Variance of what slows a run down outside its plan, s².
    pub(super) slowing_s2: f64,
}

impl Foresight<'_> {
    /// What the bands of an end depend on.
    pub(super) fn sensitivity(
        &self,
        end: impl Fn(&Simulated) -> Option<End> + Copy,
    ) -> Option<Sensitivity> {
        let course = self.course(end)?;
        let left_s = (course.time_s - self.now_s).max(60.0);
        let litres = course.log_litres.exp();
        Some(Sensitivity {
            litres: course.log_slope.map(|slope| course.less_sure * slope),
            end_s: course.time_slope.map(|slope| course.less_sure * slope),
            floor: course.own_error.hypot(UNIFORM_SD * course.prompt.log_litres),
            floor_s: left_s * litres / (litres - self.drawn_l).max(0.02 * litres),
            left_s,
            rate_floor: self.floors.rate,
            take_off_sd: self.model.inputs.take_off_sd,
            slowing_s2: self.slowing_s2(left_s, (left_s / self.whole_s(course.time_s)).min(1.0))
                + (UNIFORM_SD * course.prompt.time_s).powi(2),
        })
    }

    /// Ln spread of what is left of the hearts by what the model has wrong.
    fn wrong_sd(&self) -> f64 {
        let still = &self.model.plan.still;
        let few = still.kind == StillKind::Column
            && is_of_few(self.model.plan)
            && limit_vol(self.model.plan).is_some();
        let least = if few { WRONG_FEW } else { 0.0 };
        (WRONG * (self.fit.misfit() - 1.0)).clamp(least, WRONG_MOST)
    }

    /// Draws of an end.
    pub(super) fn draw(
        &self,
        end: impl Fn(&Simulated) -> Option<End> + Copy,
        by: &EndFactors,
        latest_s: Option<f64>,
        normal: &mut Normal,
    ) -> Option<EndDraws> {
        let course = self.course(end)?;
        let left_l = (course.log_litres.exp() - self.drawn_l).max(1e-3);
        let pace = ((course.time_s - self.now_s) / left_l).max(self.quickest_s_per_l());
        let whole_s = self.whole_s(course.time_s);
        let slower_s = self.slower_s();
        let most_l = self.most_litres(course.strength);
        let wrong_sd = self.wrong_sd();
        let habits = self.model.inputs.habits;
        let (time_left, litres_left) = self.left(end, by);
        let mut drawn = EndDraws::default();
        for deviation in &self.deviations {
            let own = course.own_error * normal.draw();
            let along = |slope: &Unknowns| course.less_sure * dot(slope, deviation);
            // Somebody changes over between at once and as late as it comes.
            let no_change = course.prompt.time_s == 0.0;
            let prompt = if no_change { 0.0 } else { normal.uniform() };
            let log = course.log_litres + prompt * course.prompt.log_litres;
            let litres = (log + along(&course.log_slope) + own).exp();
            let charged_l = most_l * self.charge_of(deviation).powf(course.less_sure);
            let mut litres = litres.min(charged_l);
            let time_s = course.time_s + prompt * course.prompt.time_s;
            let mut left_s = time_s + along(&course.time_slope) - self.now_s
                + litres * (1.0 - (-own).exp()) * pace;
            left_s *= (self.rate_sd() * normal.draw()).exp();
            left_s += self.model.inputs.pause_s;
            if let Some(slow_s) = slower_s
                && normal.uniform() < habits.early_slow
            {
                left_s += slow_s * normal.uniform();
            }
            if wrong_sd > 0.0 {
                // A still that the model does not explain weakens sooner or later than it says.
                let wrong = (wrong_sd * normal.draw()).exp();
                left_s *= wrong;
                litres = (self.drawn_l + (litres - self.drawn_l) * wrong).min(charged_l);
            }
            let share = (left_s / whole_s).clamp(0.0, 1.0);
            if normal.uniform() < habits.slowed * share {
                left_s *= 1.0 + SLOWED_MOST * normal.uniform();
            }
            if normal.uniform() < habits.pause * share {
                left_s += habits.pause_s * (PAUSE.0 + (PAUSE.1 - PAUSE.0) * normal.uniform());
            }
            left_s *= time_left;
            litres = self.drawn_l + (litres - self.drawn_l) * litres_left;
            if left_s < LEAST_LEFT_S || litres <= self.drawn_l * 1.0005 {
                continue;
            }
            // A step that ends by its minutes draws only what they leave.
            let most_s = latest_s.map_or(left_s, |latest_s| latest_s - self.now_s);
            let share = (most_s.max(LEAST_LEFT_S) / left_s).min(1.0);
            drawn.time_s.push(self.now_s + share * left_s);
            drawn.litres.push(self.drawn_l + share * (litres - self.drawn_l));
            let strength = course.strength + along(&course.strength_slope);
            drawn.strength.push(strength.clamp(0.0, STRONGEST_VOL));
        }
        if drawn.time_s.len() * DRAWS_LEAST < self.deviations.len() {
            self.overdue(&mut drawn, pace, whole_s, course.strength, normal);
        }
        Some(drawn)
    }

    /// The model says it should be over, and it is not: soon, by a few per cent of the whole.
    fn overdue(
        &self,
        drawn: &mut EndDraws,
        pace: f64,
        whole_s: f64,
        strength: f64,
        normal: &mut Normal,
    ) {
        for _ in 0..self.deviations.len() / 5 {
            let left_s = LEAST_LEFT_S + 0.04 * whole_s * normal.draw().abs();
            drawn.time_s.push(self.now_s + left_s);
            drawn.litres.push(self.drawn_l + left_s / pace);
            drawn.strength.push(strength);
        }
    }

    /// What is left of time and litres over what the draws have of it, where the still ends it by its
    /// head or its strength: a volume or a time is what it is.
    fn left(&self, end: impl Fn(&Simulated) -> Option<End>, by: &EndFactors) -> (f64, f64) {
        let itself = end(&self.fit.best).is_some_and(|end| self.ends_itself(&end));
        if itself { (by.time.left, by.litres.left) } else { (1.0, 1.0) }
    }

    fn ends_itself(&self, end: &End) -> bool {
        let track = &self.fit.best.track;
        let by = track.steps.iter().find(|step| step.end_s == end.time_s).map(|step| step.by);
        track.end.is_some_and(|kelvin| kelvin == *end)
            || matches!(by, Some(EndedBy::UntilRiseK | EndedBy::UntilStrengthVol))
    }

    /// The alcohol of the charge of a draw over the fit's.
    fn charge_of(&self, deviation: &Unknowns) -> f64 {
        let moved = |place: usize| self.model.beliefs.of[place].sd * deviation[place];
        (moved(LITRES) + moved(STRENGTH)).exp()
    }

    /// Litres of hearts of that strength that all the alcohol of the charge would make, as it is
    /// believed here and a little more.
    pub(super) fn most_litres(&self, strength_vol: f64) -> f64 {
        let charge = &self.model.plan.charge;
        let own = |place: usize| {
            let of = &self.model.beliefs.of[place];
            of.mean + of.sd * self.fit.z[place]
        };
        let alcohol_l =
            charge.litres * charge.strength_vol / 100.0 * (own(LITRES) + own(STRENGTH)).exp();
        MORE_THAN_CHARGED * 100.0 * alcohol_l / strength_vol.max(1.0)
    }

    /// Seconds for a litre at the rate of now, and never less than the heater can boil off: an end
    /// that is past by the simulation says nothing of the pace.
    fn quickest_s_per_l(&self) -> f64 {
        let inputs = self.model.inputs;
        match inputs.take_off {
            TakeOff::MlPerMin(rate) if rate > 0.0 => 60_000.0 / rate / QUICKER_AT_MOST,
            _ => VAPORISED_J_PER_L / inputs.heater_w.max(1.0),
        }
    }

    /// Variance of pauses and slowings in what is left, `share` of the whole.
    fn slowing_s2(&self, left_s: f64, share: f64) -> f64 {
        // A uniform delay from 0 to `most` that comes with chance `p`.
        let variance = |p: f64, most: f64| p * most * most / 3.0 - (0.5 * p * most).powi(2);
        let habits = self.model.inputs.habits;
        variance(habits.slowed * share, SLOWED_MOST * left_s)
            + variance(habits.pause * share, PAUSE.1 * habits.pause_s)
            + self.slower_s().map_or(0.0, |slow_s| variance(habits.early_slow, slow_s))
    }

    /// How much longer it takes if a slow phase that is planned began now, s.
    fn slower_s(&self) -> Option<f64> {
        let (model, ends) = (self.model, self.fit.best.ends?);
        let plan = model.plan;
        let (index, next) = (model.step.1, model.step.1 + 1);
        if plan.steps.get(index)?.kind != StepKind::Hearts || !plan.is_slow_phase(next) {
            return None;
        }
        let left_s = (ends.step_s? - self.now_s).max(0.0);
        let pace = match (model.inputs.take_off, plan.steps[next].take_off()) {
            (TakeOff::MlPerMin(now), TakeOff::MlPerMin(slow)) => now / slow.max(0.01),
            (TakeOff::RefluxRatio(now), TakeOff::RefluxRatio(slow)) => (slow + 1.0) / (now + 1.0),
            _ => return None,
        };
        (pace > 1.0).then_some(left_s * (pace - 1.0))
    }

    /// Spread of the rate to come: what is unproven now and what wanders later.
    fn rate_sd(&self) -> f64 {
        self.floors.rate.hypot(self.model.inputs.take_off_sd)
    }

    /// Draws of any prediction, with a spread of its own.
    pub(super) fn value(
        &self,
        value: impl Fn(&Simulated) -> Option<f64> + Copy,
        own_sd: f64,
        normal: &mut Normal,
    ) -> Option<Vec<f64>> {
        let here = value(&self.fit.best)?;
        let slope = self.fit.slope_of(value)?;
        let draws = self.deviations.iter();
        Some(draws.map(|d| here + dot(&slope, d) + own_sd * normal.draw()).collect())
    }
}
