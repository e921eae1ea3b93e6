//! Draws from the fit, carried on to the ends with what no fit can know.

use rand::rngs::Xoshiro256PlusPlus;
use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;

use super::believe::{CORE, UNKNOWNS};
use super::model::Unknowns;

/// How many draws make the bands.
pub(super) const DRAWS: usize = 2000;

/// Standard normal draws of a seed.
pub(super) struct Normal(Xoshiro256PlusPlus);

impl Normal {
    pub(super) fn seeded(seed: u64) -> Self {
        Self(Xoshiro256PlusPlus::seed_from_u64(seed))
    }

    /// Uniform from 0 to 1.
    pub(super) fn uniform(&mut self) -> f64 {
        self.0.random::<f64>()
    }

    pub(super) fn draw(&mut self) -> f64 {
        self.0.sample(StandardNormal)
    }
}

/// Lower triangle `L` with `L Lᵀ` the matrix; a direction without variance stays empty.
pub(super) fn cholesky(matrix: &[f64]) -> Vec<f64> {
    let n = UNKNOWNS;
    let mut lower = vec![0.0; n * n];
    for i in 0..n {
        for j in 0..=i {
            let dot: f64 = (0..j).map(|k| lower[i * n + k] * lower[j * n + k]).sum();
            let rest = matrix[i * n + j] - dot;
            lower[i * n + j] = if i == j {
                rest.max(0.0).sqrt()
            } else if lower[j * n + j] > 1e-12 {
                rest / lower[j * n + j]
            } else {
                0.0
            };
        }
    }
    lower
}

/// Deviations of the unknowns from the fit, one for each draw. Those after the core move no end:
/// they are not drawn, and the core's are as they are beside them.
pub(super) fn deviations(covariance: &[f64], count: usize, normal: &mut Normal) -> Vec<Unknowns> {
    let lower = cholesky(covariance);
    let mut draws = Vec::with_capacity(count + 1);
    while draws.len() < count {
        let free: Unknowns = std::array::from_fn(|i| if i < CORE { normal.draw() } else { 0.0 });
        let one: Unknowns =
            std::array::from_fn(|i| (0..=i).map(|k| lower[i * UNKNOWNS + k] * free[k]).sum());
        draws.push(one);
        draws.push(one.map(|x| -x));
    }
    draws
}

pub(super) fn dot(slope: &Unknowns, deviation: &Unknowns) -> f64 {
    slope.iter().zip(deviation).map(|(a, b)| a * b).sum()
}
