//! What the ends of the hearts are foreseen from: a fit, what was gauged, and each end as the
//! simulations about the fit have it.

use sense::jar::JUG_SD;
use still::Fraction;
use still::plan::StillKind;
use still::track::End;

use super::believe::YIELD;
use super::by_strength::later;
use super::draws::{Normal, deviations};
use super::fit::Fit;
use super::model::{Model, Simulated, Unknowns, hearts_until};

/// Model error that learning may not shrink.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Floors {
    /// Of the hearts' litres, relative.
    pub(super) litres: f64,
    /// Of the rate to come, relative: the valve wanders, losses change with draughts.
    pub(super) rate: f64,
    /// Of the strength now, % vol.
    pub(super) strength_vol: f64,
}

/// A standard deviation of one unknown moves an end by this share at most: more is a simulation
/// gone astray.
const SLOPE_MAX: f64 = 0.5;
/// With all of the hearts before it a column's fit is this much less sure than it says, and its
/// litres' own error that much larger: early measurements share more error than their weights know
/// of. Near the end neither is. Judgement, picked among a few while looking at the scores of 180
/// simulated runs: not learned with stills left out.
const EARLY_LESS_SURE: f64 = 0.25;
const EARLY_MORE_ERROR: f64 = 0.5;
/// Jars that hold more than this many times what is simulated are believed over it: three times the
/// error of a jug (judgement).
const JUG: f64 = 1.0 + 3.0 * JUG_SD;
/// Standard deviation of a uniform draw from 0 to 1 (definition).
pub(super) const UNIFORM_SD: f64 = 0.288_675;

/// One end as the simulations have it: value and slopes of time and litres.
pub(super) struct Course {
    pub(super) time_s: f64,
    pub(super) log_litres: f64,
    pub(super) strength: f64,
    pub(super) time_slope: Unknowns,
    pub(super) log_slope: Unknowns,
    pub(super) strength_slope: Unknowns,
    /// How much wider its spread is than the fit says, and its own error of the litres.
    pub(super) less_sure: f64,
    pub(super) own_error: f64,
    pub(super) prompt: Prompt,
}

/// By how much an end changes where a person changes over at once and not as late as it comes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Prompt {
    /// Time, s, and ln litres.
    pub(super) time_s: f64,
    pub(super) log_litres: f64,
}

/// Everything needed to draw ends.
pub(super) struct Foresight<'a> {
    pub(super) model: &'a Model<'a>,
    pub(super) fit: &'a Fit,
    pub(super) now_s: f64,
    /// Litres of hearts so far: as simulated, and never less than the jars hold.
    pub(super) drawn_l: f64,
    /// What the jars hold over what is simulated, L.
    lead_l: f64,
    /// How much stronger the spirit runs than simulated, % vol.
    stronger_vol: f64,
    pub(super) floors: Floors,
    pub(super) deviations: Vec<Unknowns>,
}

impl<'a> Foresight<'a> {
    pub(super) fn new(
        model: &'a Model<'a>,
        fit: &'a Fit,
        now_s: f64,
        floors: Floors,
        count: usize,
        normal: &mut Normal,
    ) -> Self {
        let drawn_l = hearts_so_far(&fit.best, now_s).map_or(0.0, |drawn| drawn.litres_20c);
        let deviations = deviations(&fit.covariance, count, normal);
        let (lead_l, stronger_vol) = (0.0, 0.0);
        Self { model, fit, now_s, drawn_l, lead_l, stronger_vol, floors, deviations }
    }

    /// Put right by what was gauged: litres of hearts in closed jars, and how much stronger than
    /// simulated the last ones are, % vol.
    pub(super) fn put_right(mut self, jars_l: f64, stronger_vol: f64) -> Self {
        // Within a jug's error the simulation stands.
        if jars_l > JUG * self.drawn_l {
            self.lead_l = jars_l - self.drawn_l;
            self.drawn_l = jars_l;
        }
        self.stronger_vol = stronger_vol;
        self
    }

    /// An end as the simulations have it; `of` says which.
    pub(super) fn course(&self, of: impl Fn(&Simulated) -> Option<End> + Copy) -> Option<Course> {
        let fit = self.fit;
        let best = of(&fit.best)?;
        let (later_s, later_l) =
            later(&fit.best.track, self.model.plan, &best, self.now_s, self.stronger_vol);
        let log = |s: &Simulated, end: End| self.log_litres(s, &end, later_l);
        let own = &self.model.beliefs.of[YIELD];
        let raw_log = log(&fit.best, best)?;
        let mut log_slope = fit.slope_of_end(of, log);
        log_slope = log_slope.map(|slope| slope.clamp(-SLOPE_MAX, SLOPE_MAX));
        log_slope[YIELD] = own.sd;
        let log_litres = raw_log + own.mean + own.sd * fit.z[YIELD];
        let (time_s, raw) = (best.time_s + later_s, raw_log.exp());
        let left_l = (raw - self.drawn_l).max(1e-6);
        let pace = ((time_s - self.now_s) / left_l).max(0.0);
        let mut time_slope = fit.slope_of_end(of, |_, end| Some(end.time_s));
        let most_s = SLOPE_MAX * (time_s - self.now_s).max(1800.0);
        time_slope = time_slope.map(|slope| slope.clamp(-most_s, most_s));
        time_slope[YIELD] = own.sd * raw * pace;
        let moved_s = (log_litres.exp() - raw) * pace;
        let share = ((time_s - self.now_s) / self.whole_s(time_s)).clamp(0.0, 1.0);
        let early = if self.pot() { 0.0 } else { share };
        let strength = |s: &Simulated, end: End| hearts_until(s, &end).map(Fraction::strength);
        // A simulation that never comes to its end says nothing about where the end moves to.
        let any = |s: &Simulated| of(s).filter(|end| end.reached || !best.reached);
        Some(Course {
            less_sure: fit.misfit() * (1.0 + EARLY_LESS_SURE * early),
            own_error: fit.misfit() * self.floors.litres * (1.0 + EARLY_MORE_ERROR * early),
            time_s: time_s + moved_s,
            log_litres,
            strength: strength(&fit.best, best)?,
            time_slope,
            log_slope,
            strength_slope: fit.slope_of_end(of, strength),
            prompt: Prompt {
                time_s: fit.if_prompt(|s| any(s).map(|end| end.time_s)),
                log_litres: fit.if_prompt(|s| log(s, any(s)?)),
            },
        })
    }

    /// Ln litres of hearts until an end and so much more; none where there are none.
    fn log_litres(&self, s: &Simulated, end: &End, later_l: f64) -> Option<f64> {
        let litres = hearts_until(s, end)?.litres_20c + self.lead_l + later_l;
        (litres > 1e-6).then(|| litres.ln())
    }

    /// The whole of the hearts up to an end, s.
    pub(super) fn whole_s(&self, end_s: f64) -> f64 {
        let start_s = self.fit.best.ends.and_then(|ends| ends.hearts_s).unwrap_or(self.now_s);
        (end_s - start_s).max(600.0)
    }

    pub(super) fn pot(&self) -> bool {
        self.model.plan.still.kind == StillKind::Pot
    }
}

/// The hearts up to now.
pub(super) fn hearts_so_far(simulated: &Simulated, now_s: f64) -> Option<Fraction> {
    let hearts_s = simulated.ends?.hearts_s.filter(|hearts_s| *hearts_s < now_s)?;
    let start = simulated.track.at(hearts_s).or(simulated.track.points.first().copied())?;
    Some(simulated.track.at(now_s)?.drawn_since(&start))
}
