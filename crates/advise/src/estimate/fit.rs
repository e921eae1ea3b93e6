//! The likeliest unknowns and how sure they are: damped Gauss-Newton steps on everything measured
//! so far, weighted for outliers, with the beliefs as one more measurement of each unknown.
//!
//! Works in standard deviations of the beliefs, so that the prior is the identity.

use numerics::linear::solve_dense;
use still::StillError;
use still::plan::StillKind;

use super::believe::{Beliefs, FUSEL, HOLD_UP, LIGHT, SIMULATED, UNKNOWNS, VALVE};
use super::draws::cholesky;
use super::measured::Measured;
use super::model::{Model, Reach, Simulated, Unknowns};

/// Degrees of freedom of the measurements' distribution (Student's t).
const FREEDOM: f64 = 4.0;
/// Widths of that distribution in the first steps, then 1.
const WIDTHS: [f64; 3] = [12.0, 5.0, 2.0];
/// Step of the differences, standard deviations.
const STEP: f64 = 0.4;
/// Longest move of one unknown in one step, standard deviations.
const MOVE_MAX: f64 = 2.0;
/// Where improvement of half the chi-square counts as none.
const SETTLED: f64 = 0.02;

/// A fit.
#[derive(Debug, Clone)]
pub(super) struct Fit {
    /// In standard deviations of the beliefs.
    pub(super) z: Unknowns,
    /// Covariance of `z`, row by row.
    pub(super) covariance: Vec<f64>,
    /// The simulation there, on to the end of the hearts.
    pub(super) best: Simulated,
    /// The simulation that `aside` stands beside: `best`, or one fit earlier.
    base: Simulated,
    /// Residuals and their slopes, for other beliefs about the same measurements.
    residuals: Vec<f64>,
    rows: Vec<Vec<f64>>,
    /// One simulation for each unknown that changes it, a step away; none where it failed.
    pub(super) aside: Vec<Option<Simulated>>,
    /// Weighted sum of squares.
    pub(super) chi_square: f64,
    /// Sum of weights: how many measurements count.
    pub(super) effective: f64,
    /// Ln of how well the hypothesis explains the measurements, up to a constant: Laplace.
    pub(super) log_evidence: f64,
}

/// Which unknowns a kind of still has.
fn active(model: &Model<'_>, place: usize) -> bool {
    match place {
        HOLD_UP => model.plan.still.kind == StillKind::Column,
        FUSEL | LIGHT => model.plan.still.kind == StillKind::Column && model.has_congeners(),
        VALVE => model.by_ratio(),
        _ => true,
    }
}

/// Unknowns in their own units.
pub(super) fn unknowns(beliefs: &Beliefs, z: &Unknowns) -> Unknowns {
    std::array::from_fn(|i| beliefs.of[i].mean + beliefs.of[i].sd * z[i])
}

/// What is minimised. With `width` 1 residuals are Student's t; a larger width lets far
/// measurements pull as if they were no outliers, so that a first guess that is far off finds home.
fn cost(residuals: &[f64], z: &Unknowns, width: f64) -> f64 {
    let far = FREEDOM * width * width;
    let own = |r: &f64| 0.5 * far * (1.0 + 1.0 / FREEDOM) * (1.0 + r * r / far).ln();
    residuals.iter().map(own).sum::<f64>() + 0.5 * z.iter().map(|z| z * z).sum::<f64>()
}

/// Simulations a step aside of `z`, and the derivatives of the residuals there.
struct Slopes {
    aside: Vec<Option<Simulated>>,
    /// One row for each unknown.
    rows: Vec<Vec<f64>>,
}

/// The problem of one fit.
pub(super) struct Problem<'a> {
    pub(super) model: &'a Model<'a>,
    pub(super) measured: &'a Measured,
    /// Whether the measurements count.
    pub(super) update: bool,
}

impl Problem<'_> {
    fn simulate(&self, z: &Unknowns, reach: Reach) -> Result<Simulated, StillError> {
        self.model.simulate(&unknowns(self.model.beliefs, z), reach)
    }

    fn residuals(&self, simulated: &Simulated, z: &Unknowns) -> Vec<f64> {
        if !self.update {
            return Vec::new();
        }
        self.measured.residuals(simulated, &unknowns(self.model.beliefs, z))
    }

    fn slopes(&self, z: &Unknowns, at: &Simulated, residuals: &[f64], reach: Reach) -> Slopes {
        let mut aside = Vec::with_capacity(SIMULATED);
        let mut rows = Vec::with_capacity(UNKNOWNS);
        for place in 0..UNKNOWNS {
            let mut moved = *z;
            moved[place] += STEP;
            let other = if place >= SIMULATED {
                Some(self.residuals(at, &moved))
            } else if active(self.model, place) {
                let simulated = self.simulate(&moved, reach).ok();
                let there = simulated.as_ref().map(|s| self.residuals(s, &moved));
                aside.push(simulated);
                there
            } else {
                aside.push(None);
                None
            };
            let slope = |i: usize| other.as_ref().map_or(0.0, |o| (o[i] - residuals[i]) / STEP);
            rows.push((0..residuals.len()).map(slope).collect());
        }
        Slopes { aside, rows }
    }

    /// Fits from `start`, in `rounds` steps at most.
    pub(super) fn fit(&self, start: &Unknowns, rounds: usize) -> Result<Fit, StillError> {
        let mut z = *start;
        let first = if rounds == 0 { Reach::Hearts } else { Reach::Now };
        let mut here = self.simulate(&z, first)?;
        let mut residuals = self.residuals(&here, &z);
        let mut damping = 0.0;
        for round in 0..rounds {
            let width = WIDTHS.get(round).copied().unwrap_or(1.0);
            let mut value = cost(&residuals, &z, width);
            let slopes = self.slopes(&z, &here, &residuals, Reach::Now);
            let before = value;
            for _ in 0..4 {
                let step = newton(&slopes.rows, &residuals, &z, damping, width);
                let trial: Unknowns = std::array::from_fn(|i| z[i] + step[i]);
                let simulated = self.simulate(&trial, Reach::Now);
                let Ok(simulated) = simulated else {
                    damping = (damping * 4.0).max(1.0);
                    continue;
                };
                let there = self.residuals(&simulated, &trial);
                let cost = cost(&there, &trial, width);
                if cost < value {
                    (z, here, residuals, value) = (trial, simulated, there, cost);
                    damping *= 0.25;
                    break;
                }
                damping = (damping * 4.0).max(1.0);
            }
            if before - value < SETTLED && width <= 1.0 {
                break;
            }
        }
        self.settle(z)
    }

    /// One step on from an earlier fit: what a minute more of measurements changes. The slopes are
    /// those of where the step began.
    pub(super) fn renew(&self, start: &Unknowns) -> Result<Fit, StillError> {
        let base = self.simulate(start, Reach::Hearts)?;
        let residuals = self.residuals(&base, start);
        let slopes = self.slopes(start, &base, &residuals, Reach::Hearts);
        let step = newton(&slopes.rows, &residuals, start, 0.0, 1.0);
        let value = cost(&residuals, start, 1.0);
        for share in [1.0, 0.3] {
            let trial: Unknowns = std::array::from_fn(|i| start[i] + share * step[i]);
            let Ok(best) = self.simulate(&trial, Reach::Hearts) else { continue };
            let there = self.residuals(&best, &trial);
            if cost(&there, &trial, 1.0) < value {
                return Ok(Fit::new(trial, best, base, there, slopes));
            }
        }
        Ok(Fit::new(*start, base.clone(), base, residuals, slopes))
    }

    /// The fit at `z`: its covariance, and simulations on to the end of the hearts.
    fn settle(&self, z: Unknowns) -> Result<Fit, StillError> {
        let best = self.simulate(&z, Reach::Hearts)?;
        let residuals = self.residuals(&best, &z);
        let slopes = self.slopes(&z, &best, &residuals, Reach::Hearts);
        Ok(Fit::new(z, best.clone(), best, residuals, slopes))
    }
}

/// Weight of a residual under Student's t of that width.
fn weight(residual: f64, width: f64) -> f64 {
    let far = FREEDOM * width * width;
    (1.0 + 1.0 / FREEDOM) * far / (far + residual * residual)
}

/// Prior and measurements together, row by row; `damping` adds to the diagonal.
fn information(rows: &[Vec<f64>], weights: &[f64], damping: f64) -> Vec<f64> {
    let mut matrix = vec![0.0; UNKNOWNS * UNKNOWNS];
    for i in 0..UNKNOWNS {
        for j in 0..=i {
            let both = rows[i].iter().zip(&rows[j]).zip(weights);
            let sum: f64 = both.map(|((a, b), w)| a * b * w).sum();
            matrix[i * UNKNOWNS + j] = sum;
            matrix[j * UNKNOWNS + i] = sum;
        }
        matrix[i * UNKNOWNS + i] += 1.0 + damping;
    }
    matrix
}

fn newton(
    rows: &[Vec<f64>],
    residuals: &[f64],
    z: &Unknowns,
    damping: f64,
    width: f64,
) -> Unknowns {
    let weights: Vec<f64> = residuals.iter().map(|r| weight(*r, width)).collect();
    let mut matrix = information(rows, &weights, damping);
    let mut right: Vec<f64> = (0..UNKNOWNS)
        .map(|i| {
            let pull = rows[i].iter().zip(residuals).zip(&weights);
            -z[i] - pull.map(|((slope, r), w)| slope * r * w).sum::<f64>()
        })
        .collect();
    if solve_dense(&mut matrix, &mut right).is_err() {
        return [0.0; UNKNOWNS];
    }
    std::array::from_fn(|i| right[i].clamp(-MOVE_MAX, MOVE_MAX))
}

/// The inverse, column by column; the matrix is prior plus squares, so it has one.
fn invert(matrix: &[f64]) -> Vec<f64> {
    let mut inverse = vec![0.0; UNKNOWNS * UNKNOWNS];
    for column in 0..UNKNOWNS {
        let mut copy = matrix.to_vec();
        let mut right = vec![0.0; UNKNOWNS];
        right[column] = 1.0;
        if solve_dense(&mut copy, &mut right).is_err() {
            right.fill(0.0);
            right[column] = 1.0;
        }
        for row in 0..UNKNOWNS {
            inverse[row * UNKNOWNS + column] = right[row];
        }
    }
    inverse
}

fn log_determinant(covariance: &[f64]) -> f64 {
    let lower = cholesky(covariance);
    (0..UNKNOWNS).map(|i| 2.0 * lower[i * UNKNOWNS + i].max(1e-9).ln()).sum()
}

impl Fit {
    fn new(
        z: Unknowns,
        best: Simulated,
        base: Simulated,
        residuals: Vec<f64>,
        slopes: Slopes,
    ) -> Self {
        let weights: Vec<f64> = residuals.iter().map(|r| weight(*r, 1.0).min(1.0)).collect();
        let covariance = invert(&information(&slopes.rows, &weights, 0.0));
        let chi_square = residuals.iter().zip(&weights).map(|(r, w)| w * r * r).sum();
        Self {
            log_evidence: 0.5 * log_determinant(&covariance) - cost(&residuals, &z, 1.0),
            covariance,
            chi_square,
            effective: weights.iter().sum(),
            aside: slopes.aside,
            rows: slopes.rows,
            z,
            best,
            base,
            residuals,
        }
    }

    /// [`Self::log_evidence`] as it would be with the spread of one unknown `wider` times as wide,
    /// in a straight line from here: no simulation is made.
    pub(super) fn log_evidence_with(&self, place: usize, wider: f64) -> f64 {
        let mut rows = self.rows.clone();
        rows[place].iter_mut().for_each(|slope| *slope *= wider);
        let mut z = self.z;
        z[place] /= wider;
        let step = newton(&rows, &self.residuals, &z, 0.0, 1.0);
        let moved = |i: usize| {
            let along: f64 = (0..UNKNOWNS).map(|k| rows[k][i] * step[k]).sum();
            self.residuals[i] + along
        };
        let residuals: Vec<f64> = (0..self.residuals.len()).map(moved).collect();
        let there: Unknowns = std::array::from_fn(|i| z[i] + step[i]);
        let weights: Vec<f64> = residuals.iter().map(|r| weight(*r, 1.0).min(1.0)).collect();
        let covariance = invert(&information(&rows, &weights, 0.0));
        0.5 * log_determinant(&covariance) - cost(&residuals, &there, 1.0)
    }

    /// Change of a prediction per standard deviation of each unknown that is simulated.
    pub(super) fn slope_of(&self, value: impl Fn(&Simulated) -> Option<f64>) -> Option<Unknowns> {
        let here = value(&self.base)?;
        Some(std::array::from_fn(|place| {
            let aside = self.aside.get(place).and_then(Option::as_ref);
            aside.and_then(&value).map_or(0.0, |there| (there - here) / STEP)
        }))
    }
}
