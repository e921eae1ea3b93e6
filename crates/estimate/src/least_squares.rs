//! Least squares with far measurements counted less: cost, weights, one step, covariance.
//!
//! In standard deviations of the beliefs, so that the prior is the identity; residuals follow
//! Student's t.

use numerics::linear::solve_dense;

use super::believe::UNKNOWNS;
use super::draws::cholesky;
use super::model::Unknowns;

/// Degrees of freedom of the measurements' distribution (Student's t).
const FREEDOM: f64 = 4.0;
/// Longest move of one unknown in one step, standard deviations.
const MOVE_MAX: f64 = 2.0;

/// What is minimised. With `width` 1 residuals are Student's t; a larger width lets far
/// measurements pull as if they were no outliers, so that a first guess that is far off finds home.
pub(super) fn cost(residuals: &[f64], z: &Unknowns, width: f64) -> f64 {
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

pub(super) fn newton(rows: &[Vec<f64>], residuals: &[f64], z: &Unknowns, width: f64) -> Unknowns {
    let weights: Vec<f64> = residuals.iter().map(|r| weight(*r, width)).collect();
    let mut matrix = information(rows, &weights);
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
pub(super) fn invert(matrix: &[f64]) -> Vec<f64> {
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

pub(super) fn log_determinant(covariance: &[f64]) -> f64 {
    let lower = cholesky(covariance);
    (0..UNKNOWNS).map(|i| 2.0 * lower[i * UNKNOWNS + i].max(1e-9).ln()).sum()
}
