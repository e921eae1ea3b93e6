//! How well one possible wash agrees with everything that was read.
//!
//! Each reading may be plainly wrong; one that lies far off counts no more than that.

use crate::belief::Unknowns;
use crate::course::Course;
use crate::misses;
use crate::problem::Problem;
use crate::wash::Wash;

/// Logarithm of a normal density, and of one that is wrong with a small chance.
fn robust(miss: f64, sd: f64, wrong: f64, wrong_sd: f64) -> f64 {
    let normal = |sd: f64| (-0.5 * (miss / sd).powi(2)).exp() / sd;
    ((1.0 - wrong) * normal(sd) + wrong * normal((sd * sd + wrong_sd * wrong_sd).sqrt()))
        .max(1e-300)
        .ln()
}

/// Logarithm of the likelihood of all readings.
pub(crate) fn of(problem: &Problem<'_>, z: &Unknowns) -> f64 {
    let wash = Wash::of(problem, z);
    let seen = Course::begin(problem, &wash).seen();
    let mut sum = 0.0;
    misses::each(problem, &wash, &seen, |one| {
        sum += one.counts * robust(one.miss, one.sd, one.wrong, one.wrong_sd);
    });
    sum
}
