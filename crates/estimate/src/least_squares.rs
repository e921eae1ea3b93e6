//! Least squares with far measurements counted less: cost, weights, one step, covariance.
//!
//! In standard deviations of the beliefs, so that the prior is the identity; residuals follow
//! Student's t.

use nalgebra::{SMatrix, SVector};

use super::believe::UNKNOWNS;
use super::draws::cholesky;
use super::model::Unknowns;

/// One row and one column for each unknown.
type Square = SMatrix<f64, UNKNOWNS, UNKNOWNS>;

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

pub(super) fn newton(rows: &[Vec<f64>], residuals: &[f64], z: &Unknowns, width: f64) -> Unknowns {
    let weights: Vec<f64> = residuals.iter().map(|r| weight(*r, width)).collect();
    let pull = |i: usize| {
        let pulls = rows[i].iter().zip(residuals).zip(&weights);
        -z[i] - pulls.map(|((slope, r), w)| slope * r * w).sum::<f64>()
    };
    let right = SVector::<f64, UNKNOWNS>::from_fn(|i, _| pull(i));
    let matrix = Square::from_row_slice(&information(rows, &weights));
    matrix.cholesky().map_or([0.0; UNKNOWNS], |lower| {
        let step = lower.solve(&right);
        std::array::from_fn(|i| step[i].clamp(-MOVE_MAX, MOVE_MAX))
    })
}

/// The inverse, row by row; the matrix is prior plus squares, so it has one, and where numbers
/// fail the prior is kept.
pub(super) fn invert(matrix: &[f64]) -> Vec<f64> {
    let lower = Square::from_row_slice(matrix).cholesky();
    // Symmetric: its columns are its rows.
    lower.map_or_else(Square::identity, |lower| lower.inverse()).as_slice().to_vec()
}

pub(super) fn log_determinant(covariance: &[f64]) -> f64 {
    let lower = cholesky(covariance);
    (0..UNKNOWNS).map(|i| 2.0 * lower[i * UNKNOWNS + i].max(1e-9).ln()).sum()
}
