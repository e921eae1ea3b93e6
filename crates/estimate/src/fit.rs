//! The likeliest unknowns and how sure they are: damped Gauss-Newton steps on everything measured
//! so far, weighted for outliers, with the beliefs as one more measurement of each unknown.
//!
//! Works in standard deviations of the beliefs, so that the prior is the identity.

use std::sync::Arc;

use still::StillError;
use still::track::End;

use super::believe::UNKNOWNS;
use super::least_squares::{cost, information, invert, log_determinant, newton, weight};
use super::linear::{Linear, reaches};
use super::model::{Reach, Simulated, Unknowns};
use super::problem::Problem;

/// Widths of that distribution in the first steps, then 1.
const WIDTHS: [f64; 3] = [12.0, 5.0, 2.0];
/// Stages of a fit, shares of the measured time, and steps at most in each.
const STAGES: [f64; 3] = [0.25, 0.5, 0.75];
const STAGE_ROUNDS: usize = 4;
/// Shares of a step that are tried, until one goes down.
const SHARES: [f64; 4] = [1.0, 0.4, 0.15, 0.05];
/// Where improvement of half the chi-square counts as none.
const SETTLED: f64 = 0.003;
/// A whole step that improves by less was a step near the floor.
pub(super) const NEAR_FLOOR: f64 = 0.5;

/// Fits further apart than this, in standard deviations of what was believed, are two (judgement).
const APART: f64 = 1.0;
/// So many measurements that err as they say are known of any still before its run (judgement: a
/// handful that err more are chance, twice as many are not).
const MISFIT_PRIOR: f64 = 10.0;
/// Standard deviations of chance before measurements count as farther off than they say (judgement:
/// the usual two).
const MISFIT_CHANCE: f64 = 2.0;
/// No fit is called worse than this (judgement).
const MISFIT_MOST: f64 = 4.0;

/// Whether two ends of a way down are two.
pub(super) fn apart(one: &Unknowns, other: &Unknowns) -> bool {
    let square: f64 = one.iter().zip(other).map(|(a, b)| (a - b) * (a - b)).sum();
    square > APART * APART
}

/// A fit.
#[derive(Debug, Clone)]
pub(super) struct Fit {
    /// In standard deviations of the beliefs.
    pub(super) z: Unknowns,
    /// Covariance of `z`, row by row.
    pub(super) covariance: Vec<f64>,
    /// The simulation there, on to the end of the hearts.
    pub(super) best: Arc<Simulated>,
    /// The still about here, or about a fit of some minutes ago.
    linear: Arc<Linear>,
    /// Residuals and their slopes, for other beliefs about the same measurements.
    residuals: Vec<f64>,
    rows: Vec<Vec<f64>>,
    /// Weighted sum of squares.
    pub(super) chi_square: f64,
    /// Sum of weights: how many measurements count.
    pub(super) effective: f64,
    /// Ln of how well the hypothesis explains the measurements, up to a constant: Laplace.
    pub(super) log_evidence: f64,
}

/// [`Fit::misfit`] by the sum of squares and how many measurements count.
fn misfit_of(square: f64, effective: f64) -> f64 {
    let count = effective + MISFIT_PRIOR;
    // A mean of so many squares wanders by this much (chi-square distribution).
    let chance = MISFIT_CHANCE * (2.0 / count).sqrt();
    ((square + MISFIT_PRIOR) / count - chance).max(1.0).sqrt().min(MISFIT_MOST)
}

/// A place on the way down.
struct Place {
    z: Unknowns,
    simulated: Simulated,
    residuals: Vec<f64>,
}

impl Place {
    fn cost(&self, width: f64) -> f64 {
        cost(&self.residuals, &self.z, width)
    }
}

impl Problem<'_> {
    /// Fits from `start`, in `rounds` steps at most a way. There is more than one hollow to end in,
    /// so two ways down are tried: with far measurements pulling at first, and by stages. The fit
    /// in the deeper end, and where the other way ended if that is elsewhere.
    pub(super) fn fit(
        &self,
        start: &Unknowns,
        rounds: usize,
    ) -> Result<(Fit, Option<Unknowns>), StillError> {
        if rounds == 0 {
            return Ok((self.settle(*start)?, None));
        }
        let (far, staged) = (self.descend(start, rounds, &WIDTHS), self.by_stages(start, rounds));
        let ((z, _), other) = match (far, staged) {
            (Ok(far), Ok(staged)) if staged.1 < far.1 => (staged, Some(far.0)),
            (Ok(far), Ok(staged)) => (far, Some(staged.0)),
            (Ok(only), Err(_)) | (Err(_), Ok(only)) => (only, None),
            (Err(error), Err(_)) => return Err(error),
        };
        Ok((self.settle(z)?, other.filter(|other| apart(&z, other))))
    }

    /// The way down as a run goes: the fit to a quarter of the measured time, on to half of it, to
    /// three quarters, to all.
    fn by_stages(&self, start: &Unknowns, rounds: usize) -> Result<(Unknowns, f64), StillError> {
        let mut z = *start;
        for share in STAGES {
            let (measured, until_s) = self.measured.first_part(share);
            let inputs = self.model.inputs.until(until_s);
            let model = self.model.with_past(self.model.plan, &inputs);
            let early = Problem { model: &model, measured: &measured, ..*self };
            z = early.descend(&z, STAGE_ROUNDS, &[])?.0;
        }
        self.descend(&z, rounds, &[])
    }

    /// Steps down from `start`, the first ones with these widths; where they end, and the
    /// cost there.
    fn descend(
        &self,
        start: &Unknowns,
        rounds: usize,
        widths: &[f64],
    ) -> Result<(Unknowns, f64), StillError> {
        let mut here = self.place(*start)?;
        for round in 0..rounds {
            let width = widths.get(round).copied().unwrap_or(1.0);
            let rows = Linear::about(self, &here.z, here.simulated.clone(), Reach::Now).rows(self);
            let Some((lower, share)) = self.lower(&here, &rows, &SHARES, width) else {
                if width > 1.0 {
                    continue;
                }
                break;
            };
            let gain = here.cost(width) - lower.cost(width);
            here = lower;
            if width > 1.0 {
                continue;
            }
            if gain < SETTLED {
                break;
            }
            // Near the floor the slopes of the place before still hold.
            if share == 1.0
                && gain < NEAR_FLOOR
                && let Some((lower, _)) = self.lower(&here, &rows, &SHARES[..1], width)
            {
                let gain = here.cost(width) - lower.cost(width);
                here = lower;
                if gain < SETTLED {
                    break;
                }
            }
        }
        Ok((here.z, here.cost(1.0)))
    }

    fn place(&self, z: Unknowns) -> Result<Place, StillError> {
        let simulated = self.simulate(&z, Reach::Now)?;
        let residuals = self.residuals(&simulated, &z);
        Ok(Place { z, simulated, residuals })
    }

    /// The first of these shares of a step that goes down.
    fn lower(
        &self,
        from: &Place,
        rows: &[Vec<f64>],
        shares: &[f64],
        width: f64,
    ) -> Option<(Place, f64)> {
        let (step, cost) = (newton(rows, &from.residuals, &from.z, width).by, from.cost(width));
        let there = |share: f64| {
            let z = std::array::from_fn(|i| from.z[i] + share * step[i]);
            Some((self.place(z).ok()?, share))
        };
        shares.iter().filter_map(|share| there(*share)).find(|there| there.0.cost(width) < cost)
    }

    /// Goes on from an earlier fit: what a minute more of measurements changes. Where its slopes
    /// hold no longer, along new ones.
    pub(super) fn go_on(&self, from: &Kept, how: GoOn) -> Result<Fit, StillError> {
        let holds = how != GoOn::Anew && from.linear.holds(self.model);
        if holds && how == GoOn::Rest && reaches(&from.best, self.model) {
            let linear = Arc::clone(&from.linear);
            let (residuals, rows) = (self.residuals(&from.best, &from.z), linear.rows(self));
            return Ok(Fit::new(from.z, Arc::clone(&from.best), residuals, linear, rows));
        }
        let start = &from.z;
        let here = self.simulate(start, Reach::Hearts)?;
        let linear = if holds && from.linear.ends_as(&here) {
            Arc::clone(&from.linear)
        } else {
            Arc::new(Linear::about(self, start, here.clone(), Reach::Hearts))
        };
        let (residuals, rows) = (self.residuals(&here, start), linear.rows(self));
        let step = newton(&rows, &residuals, start, 1.0);
        let value = cost(&residuals, start, 1.0);
        // A step that would gain nothing is left until what came since asks for more.
        if step.gain < SETTLED {
            return Ok(Fit::new(*start, Arc::new(here), residuals, linear, rows));
        }
        // Near the floor slopes of one side point by it: a whole step that does not go down is none,
        // and a shorter one would gain nothing that is worth a simulation.
        let shares = if step.gain < NEAR_FLOOR { &SHARES[..1] } else { &SHARES[..] };
        for share in shares {
            let trial: Unknowns = std::array::from_fn(|i| start[i] + share * step.by[i]);
            let Ok(best) = self.simulate(&trial, Reach::Hearts) else { continue };
            let there = self.residuals(&best, &trial);
            if cost(&there, &trial, 1.0) < value {
                return Ok(Fit::new(trial, Arc::new(best), there, linear, rows));
            }
        }
        Ok(Fit::new(*start, Arc::new(here), residuals, linear, rows))
    }

    /// The fit at `z`: its covariance, and simulations on to the end of the hearts.
    pub(super) fn settle(&self, z: Unknowns) -> Result<Fit, StillError> {
        let best = self.simulate(&z, Reach::Hearts)?;
        let residuals = self.residuals(&best, &z);
        let linear = Arc::new(Linear::about(self, &z, best.clone(), Reach::Hearts));
        let rows = linear.rows(self);
        Ok(Fit::new(z, Arc::new(best), residuals, linear, rows))
    }
}

/// What of a fit the next one goes on from.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Kept {
    z: Unknowns,
    best: Arc<Simulated>,
    linear: Arc<Linear>,
}

impl Kept {
    /// When its slopes were made, s.
    pub(super) fn made_s(&self) -> f64 {
        self.linear.made_s()
    }

    /// The simulation there.
    pub(super) fn best(&self) -> &Simulated {
        &self.best
    }
}

/// How a fit goes on from an earlier one, from much work to little.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum GoOn {
    /// A step along new slopes.
    Anew,
    /// A step along the slopes there are.
    Along,
    /// No step: the simulation there is, made ahead of its time, is compared with what came since.
    Rest,
}

impl Fit {
    fn new(
        z: Unknowns,
        best: Arc<Simulated>,
        residuals: Vec<f64>,
        linear: Arc<Linear>,
        rows: Vec<Vec<f64>>,
    ) -> Self {
        let weights: Vec<f64> = residuals.iter().map(|r| weight(*r, 1.0).min(1.0)).collect();
        let covariance = invert(&information(&rows, &weights));
        let chi_square = residuals.iter().zip(&weights).map(|(r, w)| w * r * r).sum();
        Self {
            log_evidence: 0.5 * log_determinant(&covariance) - cost(&residuals, &z, 1.0),
            covariance,
            chi_square,
            effective: weights.iter().sum(),
            linear,
            rows,
            z,
            best,
            residuals,
        }
    }

    /// How many times farther off than they say the measurements are, with what was believed among
    /// them: a still that no set of unknowns explains is not known as well as its slopes tell.
    pub(super) fn misfit(&self) -> f64 {
        let believed: f64 = self.z.iter().map(|z| z * z).sum();
        misfit_of(self.chi_square + believed, self.effective)
    }

    /// [`Self::log_evidence`] as it would be with the spread of one unknown `wider` times as wide,
    /// in a straight line from here: no simulation is made.
    pub(super) fn log_evidence_with(&self, place: usize, wider: f64) -> f64 {
        let mut rows = self.rows.clone();
        rows[place].iter_mut().for_each(|slope| *slope *= wider);
        let mut z = self.z;
        z[place] /= wider;
        let step = newton(&rows, &self.residuals, &z, 1.0).by;
        let moved = |i: usize| {
            let along: f64 = (0..UNKNOWNS).map(|k| rows[k][i] * step[k]).sum();
            self.residuals[i] + along
        };
        let residuals: Vec<f64> = (0..self.residuals.len()).map(moved).collect();
        let there: Unknowns = std::array::from_fn(|i| z[i] + step[i]);
        let weights: Vec<f64> = residuals.iter().map(|r| weight(*r, 1.0).min(1.0)).collect();
        let covariance = invert(&information(&rows, &weights));
        0.5 * log_determinant(&covariance) - cost(&residuals, &there, 1.0)
    }

    /// Its covariance without some of the measurements, in a straight line from here.
    pub(super) fn covariance_without(&self, places: impl Iterator<Item = usize>) -> Vec<f64> {
        let mut weights: Vec<f64> =
            self.residuals.iter().map(|r| weight(*r, 1.0).min(1.0)).collect();
        places.for_each(|place| weights[place] = 0.0);
        invert(&information(&self.rows, &weights))
    }

    /// Half the sum of squares of some of the measurements.
    pub(super) fn half_square_of(&self, places: impl Iterator<Item = usize>) -> f64 {
        places.map(|place| 0.5 * self.residuals[place].powi(2)).sum()
    }

    /// Change of a prediction per standard deviation of each unknown that is simulated.
    pub(super) fn slope_of(&self, value: impl Fn(&Simulated) -> Option<f64>) -> Option<Unknowns> {
        self.linear.slope_of(value)
    }

    /// How an end moves with each unknown that is simulated, by what is asked of it. A simulation
    /// whose end comes in another step does not tell: there it leaps. Nor one that never comes to
    /// it. What moves the plan's own end stands for it.
    pub(super) fn slope_of_end(
        &self,
        of: impl Fn(&Simulated) -> Option<End>,
        value: impl Fn(&Simulated, End) -> Option<f64>,
    ) -> Unknowns {
        let base = of(self.linear.base());
        let like = |end: &End| {
            base.is_some_and(|base| (end.reached || !base.reached) && end.step == base.step)
        };
        self.linear.slope_of_either(|s| value(s, of(s).filter(like)?), |s| value(s, s.ends?.plan?))
    }

    /// Change of a prediction where a person changes over at once and not as late as it comes.
    pub(super) fn if_prompt(&self, value: impl Fn(&Simulated) -> Option<f64>) -> f64 {
        self.linear.if_prompt(value)
    }

    /// What the next fit goes on from.
    pub(super) fn kept(&self) -> Kept {
        Kept { z: self.z, best: Arc::clone(&self.best), linear: Arc::clone(&self.linear) }
    }
}

#[cfg(test)]
mod tests {
    use super::{MISFIT_MOST, misfit_of};

    #[test]
    fn a_misfit_is_what_chance_does_not_explain() {
        assert_eq!(misfit_of(4.0, 4.0), 1.0, "as they say");
        assert!(misfit_of(15.5, 3.8) < 1.05, "a few that err twice as far are chance");
        let many = misfit_of(4.0 * 60.0, 60.0);
        assert!((1.7..2.0).contains(&many), "sixty that err twice as far are not: {many}");
        assert_eq!(misfit_of(1e6, 60.0), MISFIT_MOST);
    }
}
