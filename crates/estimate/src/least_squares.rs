//! Least squares with far measurements counted less: cost, weights, one step, covariance.
//!
//! In standard deviations of the beliefs, so that the prior is the identity; residuals follow
//! Student's t.

use nalgebra::{SMatrix, SVector};

use super::believe::{CORE, UNKNOWNS};
use super::draws::cholesky;
use super::model::Unknowns;

/// One row and one column for each of the first `N` unknowns.
type Square<const N: usize> = SMatrix<f64, N, N>;

/// Degrees of freedom of the measurements' distribution (Student's t).
const FREEDOM: f64 = 4.0;
/// Longest move of one unknown in one step, standard deviations.
const MOVE_MAX: f64 = 2.0;

/// What is minimised. With `width` 1 residuals are Student's t; a larger width lets far
/// measurements pull as if they were no outliers, so that a first guess that is far off finds home.
pub(super) fn cost(residuals: &[f64], z: &[f64], width: f64) -> f64 {
    let far = FREEDOM * width * width;
    let own = |r: &f64| 0.5 * far * (1.0 + 1.0 / FREEDOM) * (1.0 + r * r / far).ln();
    residuals.iter().map(own).sum::<f64>() + 0.5 * z.iter().map(|z| z * z).sum::<f64>()
}

/// Weight of a residual under Student's t of that width.
pub(super) fn weight(residual: f64, width: f64) -> f64 {
    let far = FREEDOM * width * width;
    (1.0 + 1.0 / FREEDOM) * far / (far + residual * residual)
}

/// Prior and measurements together, row by row.
pub(super) fn information(rows: &[Vec<f64>], weights: &[f64]) -> Vec<f64> {
    let mut matrix = vec![0.0; UNKNOWNS * UNKNOWNS];
    for i in 0..UNKNOWNS {
        for j in 0..=i {
            let both = rows[i].iter().zip(&rows[j]).zip(weights);
            let sum: f64 = both.map(|((a, b), w)| a * b * w).sum();
            matrix[i * UNKNOWNS + j] = sum;
            matrix[j * UNKNOWNS + i] = sum;
        }
        matrix[i * UNKNOWNS + i] += 1.0;
    }
    matrix
}

/// How far each unknown is drawn to where the weighted measurements and the prior have it: the
/// gradient of the cost, downhill.
fn pulls(rows: &[Vec<f64>], residuals: &[f64], z: &Unknowns, weights: &[f64]) -> Unknowns {
    std::array::from_fn(|i| {
        let pulls = rows[i].iter().zip(residuals).zip(weights);
        -z[i] - pulls.map(|((slope, r), w)| slope * r * w).sum::<f64>()
    })
}

/// A step.
pub(super) struct Step {
    pub(super) by: Unknowns,
    /// By how much the cost goes down along it, as the slopes have it.
    pub(super) gain: f64,
}

pub(super) fn newton(rows: &[Vec<f64>], residuals: &[f64], z: &Unknowns, width: f64) -> Step {
    let weights: Vec<f64> = residuals.iter().map(|r| weight(*r, width)).collect();
    let matrix = information(rows, &weights);
    let pulls = pulls(rows, residuals, z, &weights);
    let whole = if ends_with_core(&matrix) {
        solved::<CORE>(&matrix, &pulls)
    } else {
        solved::<UNKNOWNS>(&matrix, &pulls)
    };
    let by = whole.map(|step| step.clamp(-MOVE_MAX, MOVE_MAX));
    // At the floor of a parabola: half of what the slope at its brim promises.
    let gain = 0.5 * pulls.iter().zip(&by).map(|(pull, step)| pull * step).sum::<f64>();
    Step { by, gain }
}

/// Whether nothing was measured of what follows the core: it then stands apart, one in its place,
/// and all numbers of the core are those of a matrix without it.
fn ends_with_core(matrix: &[f64]) -> bool {
    (CORE..UNKNOWNS).all(|i| (0..=i).all(|j| matrix[i * UNKNOWNS + j] == f64::from(i == j)))
}

fn first<const N: usize>(matrix: &[f64]) -> Square<N> {
    Square::<N>::from_fn(|i, j| matrix[i * UNKNOWNS + j])
}

/// What solves the first `N` equations, the rest 0; nothing where numbers fail.
fn solved<const N: usize>(matrix: &[f64], right: &Unknowns) -> Unknowns {
    let right = SVector::<f64, N>::from_fn(|i, _| right[i]);
    let step = first::<N>(matrix).cholesky().map(|lower| lower.solve(&right));
    std::array::from_fn(|i| step.filter(|_| i < N).map_or(0.0, |step| step[i]))
}

fn inverse<const N: usize>(matrix: &[f64]) -> Square<N> {
    // Symmetric: its columns are its rows.
    first::<N>(matrix).cholesky().map_or_else(Square::identity, |lower| lower.inverse())
}

/// The inverse, row by row; the matrix is prior plus squares, so it has one, and where numbers
/// fail the prior is kept.
pub(super) fn invert(matrix: &[f64]) -> Vec<f64> {
    if !ends_with_core(matrix) {
        return inverse::<UNKNOWNS>(matrix).as_slice().to_vec();
    }
    let core = inverse::<CORE>(matrix);
    let cell =
        |i: usize, j: usize| if i < CORE && j < CORE { core[(j, i)] } else { f64::from(i == j) };
    (0..UNKNOWNS)
        .flat_map(|i| (0..UNKNOWNS).map(move |j| (i, j)))
        .map(|(i, j)| cell(i, j))
        .collect()
}

pub(super) fn log_determinant(covariance: &[f64]) -> f64 {
    let lower = cholesky(covariance);
    (0..UNKNOWNS).map(|i| 2.0 * lower[i * UNKNOWNS + i].max(1e-9).ln()).sum()
}
