//! How well one possible wash agrees with everything that was read.
//!
//! Each reading may be plainly wrong; one that lies far off counts no more than that.

use alcoholometry::wash::balling::CO2_PER_ETHANOL;

use crate::belief::{Unknowns, Wash};
use crate::course::{Course, Seen};
use crate::problem::{Gravity, Problem};
use crate::recipe::Kind;

/// Error of a careful reading beside its step (judgement).
const READ_SD: f64 = 0.0007;
/// Error of the model, share of the gravity between a reading and now (judgement).
const MODEL_SHARE: f64 = 0.035;
/// Share of readings that are plainly wrong (judgement: about one in fifty).
const WRONG: f64 = 0.03;
/// How far wrong ones lie.
const WRONG_SD: f64 = 0.009;

/// Logarithm of a normal density, and of one that is wrong with a small chance.
pub(crate) fn robust(miss: f64, sd: f64, wrong: f64, wrong_sd: f64) -> f64 {
    let normal = |sd: f64| (-0.5 * (miss / sd).powi(2)).exp() / sd;
    ((1.0 - wrong) * normal(sd) + wrong * normal(sd.hypot(wrong_sd))).max(1e-300).ln()
}

/// What the glass would read, and how surely.
pub(crate) fn glass(
    problem: &Problem<'_>,
    wash: &Wash,
    row: &Gravity,
    seen: &Seen,
    now: f64,
) -> (f64, f64) {
    let step = problem.recipe.reading.hydrometer_step;
    // Gas on the stem while it works: full lift at 0.0004 an hour and more.
    let works = (seen.rate / 0.0004).clamp(0.0, 1.0);
    let expected = seen.gravity + wash.glass + wash.gas * works;
    let model = MODEL_SHARE * (seen.gravity - now).abs();
    let unsure = if row.unsure { 0.0012 } else { 0.0003 };
    let variance = READ_SD.powi(2)
        + step * step / 12.0
        + model * model
        + unsure * unsure
        + (0.0006 * works).powi(2);
    (expected, variance.sqrt())
}

/// Chance that a reading is plainly wrong: sugar may still lie on the bottom at the first one.
pub(crate) fn wrong(problem: &Problem<'_>, row: &Gravity) -> f64 {
    if row.time_h < 2.0 && problem.recipe.kind == Kind::Sugar { 0.25 } else { WRONG }
}

/// Logarithm of the likelihood of all readings.
pub(crate) fn of(problem: &Problem<'_>, z: &Unknowns) -> f64 {
    let wash = Wash::of(problem, z);
    let mut course = Course::begin(problem, &wash);
    let seen = course.seen();
    let at = |hour: f64| {
        let place = problem.hours.partition_point(|&h| h < hour);
        &seen[place.min(seen.len() - 1)]
    };
    let now = seen.last().map_or(1.0, |s| s.gravity);
    let mut sum = 0.0;
    for row in &problem.gravities {
        let (expected, sd) = glass(problem, &wash, row, at(row.time_h), now);
        sum += robust(row.value - expected, sd, wrong(problem, row), WRONG_SD);
    }
    for &(hour, ph) in &problem.ph {
        sum += 0.6 * robust(ph - at(hour).ph, 0.30, 0.1, 1.0);
    }
    let litres = problem.recipe.litres;
    if let Some(&(first, _)) = problem.weights.first() {
        let begun = at(first).ethanol;
        for &(hour, lost_kg) in problem.weights.iter().skip(1) {
            let gas_g_l = CO2_PER_ETHANOL * (at(hour).ethanol - begun);
            let leaves_g_l = (gas_g_l - gas_g_l.min(1.3)) * 1.012;
            let expected = litres * leaves_g_l / 1000.0;
            let sd = 0.03_f64.hypot(0.02 * expected).hypot(0.0005 * litres);
            sum += robust(lost_kg - expected, sd, 0.05, 10.0 * sd);
        }
    }
    let [scale, offset, drift] = wash.float;
    for &(hour, read) in &problem.floats {
        let gravity = at(hour).gravity;
        let expected = 1.0 + (gravity - 1.0) * (1.0 + scale) + offset + drift * hour / 100.0;
        let foam = if hour < 60.0 { 0.003 } else { 0.0 };
        let model = MODEL_SHARE * (gravity - now).abs();
        let sd = 0.0018_f64.hypot(foam).hypot(model);
        sum += 0.7 * robust(read - expected, sd, 0.06, 0.02);
    }
    sum
}
