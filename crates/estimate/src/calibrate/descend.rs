//! The likeliest unknowns of all runs together: Levenberg-Marquardt steps inside a box, from
//! several starts, with far measurements weighing less and the beliefs as one more measurement of
//! each unknown.

use nalgebra::{DMatrix, DVector};
use still::StillError;

use super::model::{Bench, Simulated};
use super::run::Run;
use super::unknowns::{Beliefs, OWN, SHARED};

/// Standard deviations from which on a measurement weighs less (Cauchy).
const FAR: f64 = 3.0;
/// Step of the differences, standard deviations of the belief.
const STEP: f64 = 0.15;
/// Damping: at first, times on a failure, share on a success, and where it is given up.
const DAMPING: (f64, f64, f64, f64) = (1e-2, 6.0, 0.3, 1e4);
/// Improvement of half the chi-square that counts as none.
const SETTLED: f64 = 1e-3;
/// Steps of a start, and of the best one once more.
pub(super) const ROUNDS: usize = 8;
pub(super) const ROUNDS_BEST: usize = 16;
/// Simulations that a calibration makes at most: some ten times what eight runs take.
pub(super) const SIMULATIONS_MAX: u64 = 40_000;

/// All that a descent looks at.
pub(super) struct Joint<'a, 'b> {
    pub(super) bench: &'a Bench,
    pub(super) beliefs: &'a Beliefs,
    pub(super) runs: &'a [Run<'b>],
}

/// Where a descent ended.
#[derive(Debug, Clone)]
pub(super) struct End {
    /// Standard deviations of the beliefs.
    pub(super) z: Vec<f64>,
    pub(super) cost: f64,
}

fn weight(residual: f64) -> f64 {
    1.0 / (1.0 + (residual / FAR).powi(2))
}

fn loss(residual: f64) -> f64 {
    0.5 * FAR * FAR * (1.0 + (residual / FAR).powi(2)).ln()
}

impl Joint<'_, '_> {
    /// Simulates one run at `z`.
    pub(super) fn simulate(&self, run: usize, z: &[f64]) -> Result<Simulated, StillError> {
        let (at, charge) = (self.beliefs.physical(z), self.beliefs.charge(z, run));
        let simulation = &self.runs[run].simulation;
        self.bench.simulate(simulation, self.beliefs.stages, &at, charge, true)
    }

    /// Differences of one run at `z`.
    fn residuals(&self, run: usize, z: &[f64]) -> Result<Option<Vec<f64>>, StillError> {
        let simulated = self.simulate(run, z)?;
        Ok(self.runs[run].evidence.residuals(&simulated))
    }

    /// Differences of all runs at `z`; none where one cannot be simulated there.
    fn all(&self, z: &[f64]) -> Result<Option<Vec<Vec<f64>>>, StillError> {
        let mut all = Vec::with_capacity(self.runs.len());
        for run in 0..self.runs.len() {
            match self.residuals(run, z) {
                Ok(Some(residuals)) => all.push(residuals),
                Err(error @ StillError::Cancelled { .. }) => return Err(error),
                Ok(None) | Err(_) => return Ok(None),
            }
        }
        Ok(Some(all))
    }

    fn cost(z: &[f64], residuals: &[Vec<f64>]) -> f64 {
        let measured: f64 = residuals.iter().flatten().map(|one| loss(*one)).sum();
        measured + 0.5 * z.iter().map(|one| one * one).sum::<f64>()
    }

    /// Slopes of one run's differences: a column for each unknown that it knows.
    pub(super) fn slopes(
        &self,
        run: usize,
        z: &[f64],
        here: &[f64],
    ) -> Result<Vec<(usize, Vec<f64>)>, StillError> {
        let own = SHARED + OWN * run;
        let mut slopes = Vec::with_capacity(SHARED + OWN);
        for place in (0..SHARED).chain(own..own + OWN) {
            let step = if z[place] + STEP > self.beliefs.bounds(place).1 { -STEP } else { STEP };
            let mut aside = z.to_vec();
            aside[place] += step;
            let there = match self.residuals(run, &aside) {
                Ok(there) => there,
                Err(error @ StillError::Cancelled { .. }) => return Err(error),
                Err(_) => None,
            };
            let slope = there.map_or_else(
                || vec![0.0; here.len()],
                |there| there.iter().zip(here).map(|(there, here)| (there - here) / step).collect(),
            );
            slopes.push((place, slope));
        }
        Ok(slopes)
    }

    /// Information of the measurements about all unknowns, and their pull, at `z`.
    pub(super) fn normal(
        &self,
        z: &[f64],
        residuals: &[Vec<f64>],
    ) -> Result<(DMatrix<f64>, DVector<f64>), StillError> {
        let count = self.beliefs.count();
        let mut information = DMatrix::zeros(count, count);
        let mut pull = DVector::zeros(count);
        for (run, here) in residuals.iter().enumerate() {
            let slopes = self.slopes(run, z, here)?;
            for (place, slope) in &slopes {
                let weighed = || slope.iter().zip(here).map(|(s, r)| (s * weight(*r), s, r));
                pull[*place] += weighed().map(|(w, _, r)| w * r).sum::<f64>();
                for (other, second) in &slopes {
                    let product: f64 = weighed().zip(second).map(|((w, ..), b)| w * b).sum();
                    information[(*place, *other)] += product;
                }
            }
        }
        Ok((information, pull))
    }

    /// Goes down from `start`, `rounds` steps at most.
    pub(super) fn descend(&self, start: &[f64], rounds: usize) -> Result<Option<End>, StillError> {
        let mut z = self.boxed(start);
        let Some(mut residuals) = self.all(&z)? else { return Ok(None) };
        let mut cost = Self::cost(&z, &residuals);
        let mut damping = DAMPING.0;
        for _ in 0..rounds {
            let (information, pull) = self.normal(&z, &residuals)?;
            let before = cost;
            while damping < DAMPING.3 && self.bench.made() < SIMULATIONS_MAX {
                let trial = self.step(&z, &information, &pull, damping);
                let there = self.all(&trial)?;
                let better = there.filter(|there| Self::cost(&trial, there) < cost);
                if let Some(there) = better {
                    cost = Self::cost(&trial, &there);
                    (z, residuals) = (trial, there);
                    damping *= DAMPING.2;
                    break;
                }
                damping *= DAMPING.1;
            }
            if before - cost < SETTLED || self.bench.made() >= SIMULATIONS_MAX {
                break;
            }
        }
        Ok(Some(End { z, cost }))
    }

    fn boxed(&self, z: &[f64]) -> Vec<f64> {
        let inside = |(place, z): (usize, &f64)| {
            let (low, high) = self.beliefs.bounds(place);
            z.clamp(low, high)
        };
        z.iter().enumerate().map(inside).collect()
    }

    /// One damped step; what is pushed against its bound stays there.
    fn step(
        &self,
        z: &[f64],
        information: &DMatrix<f64>,
        pull: &DVector<f64>,
        damping: f64,
    ) -> Vec<f64> {
        let count = z.len();
        let mut matrix = information.clone();
        let mut right = DVector::zeros(count);
        for place in 0..count {
            right[place] = -(pull[place] + z[place]);
            let diagonal = matrix[(place, place)] + 1.0;
            matrix[(place, place)] = diagonal * (1.0 + damping);
        }
        for place in 0..count {
            let (low, high) = self.beliefs.bounds(place);
            let held =
                (z[place] <= low && right[place] < 0.0) || (z[place] >= high && right[place] > 0.0);
            if held {
                matrix.row_mut(place).fill(0.0);
                matrix.column_mut(place).fill(0.0);
                matrix[(place, place)] = 1.0;
                right[place] = 0.0;
            }
        }
        let step = matrix.cholesky().map_or(DVector::zeros(count), |whole| whole.solve(&right));
        self.boxed(&z.iter().zip(step.iter()).map(|(z, step)| z + step).collect::<Vec<f64>>())
    }

    /// Covariance at `z` in standard deviations of the beliefs, and the misfit: the measurements
    /// count less where they fit worse than believed.
    pub(super) fn covariance(&self, z: &[f64]) -> Result<Option<(DMatrix<f64>, f64)>, StillError> {
        let Some(residuals) = self.all(z)? else { return Ok(None) };
        let (information, _) = self.normal(z, &residuals)?;
        let worth: f64 = self.runs.iter().map(|run| run.evidence.worth()).sum();
        let squares: f64 = residuals.iter().flatten().map(|r| weight(*r) * r * r).sum();
        let misfit = squares / worth.max(1.0);
        let count = z.len();
        let whole = information / misfit.max(1.0) + DMatrix::identity(count, count);
        let inverse = whole.cholesky().map(|whole| whole.inverse());
        Ok(inverse.map(|inverse| (inverse, misfit)))
    }
}
