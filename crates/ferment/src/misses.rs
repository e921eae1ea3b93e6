//! How far every reading lies from what one possible wash would have shown, and how surely.

use alcoholometry::wash::balling::CO2_PER_ETHANOL;

use crate::course::Seen;
use crate::problem::{Gravity, Problem};
use crate::recipe::Kind;
use crate::wash::Wash;

/// Error of a careful reading beside its step (judgement).
const READ_SD: f64 = 0.0007;
/// Error of the model, share of the gravity between a reading and now (judgement).
const MODEL_SHARE: f64 = 0.035;
/// Share of readings that are plainly wrong (judgement: about one in fifty).
const WRONG: f64 = 0.03;
/// How far wrong ones lie.
const WRONG_SD: f64 = 0.009;
/// Error of a pH reading and of the model's pH together (judgement).
const PH_SD: f64 = 0.15;
/// Readings of one sensor share their errors: each counts so much of a reading by itself (judgement).
const PH_COUNTS: f64 = 0.6;
const FLOAT_COUNTS: f64 = 0.7;

/// What was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Column {
    Gravity,
    Ph,
    Weight,
    Float,
}

/// One reading against one possible wash.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Miss {
    pub(crate) column: Column,
    pub(crate) time_h: f64,
    /// Row of the log it stands in.
    pub(crate) row: usize,
    /// Read less expected.
    pub(crate) miss: f64,
    pub(crate) sd: f64,
    /// Chance that it is plainly wrong, and how far wrong ones lie.
    pub(crate) wrong: f64,
    pub(crate) wrong_sd: f64,
    /// How much of a reading by itself it is.
    pub(crate) counts: f64,
}

/// What the glass would read, and how surely.
fn glass(problem: &Problem<'_>, wash: &Wash, row: &Gravity, seen: &Seen, now: f64) -> (f64, f64) {
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
fn wrong(problem: &Problem<'_>, row: &Gravity) -> f64 {
    if row.time_h < 2.0 && problem.recipe.kind == Kind::Sugar { 0.25 } else { WRONG }
}

/// Every reading in turn.
pub(crate) fn each(problem: &Problem<'_>, wash: &Wash, seen: &[Seen], mut tell: impl FnMut(Miss)) {
    let at = |hour: f64| {
        let place = problem.hours.partition_point(|&h| h < hour);
        &seen[place.min(seen.len() - 1)]
    };
    let now = seen.last().map_or(1.0, |s| s.gravity);
    for row in &problem.gravities {
        let (expected, sd) = glass(problem, wash, row, at(row.time_h), now);
        tell(Miss {
            column: Column::Gravity,
            time_h: row.time_h,
            row: row.row,
            miss: row.value - expected,
            sd,
            wrong: wrong(problem, row),
            wrong_sd: WRONG_SD,
            counts: row.counts,
        });
    }
    for ph in &problem.ph {
        tell(Miss {
            column: Column::Ph,
            time_h: ph.time_h,
            row: ph.row,
            miss: ph.value - at(ph.time_h).ph,
            sd: PH_SD,
            wrong: 0.05,
            wrong_sd: 1.0,
            counts: PH_COUNTS,
        });
    }
    weights(problem, at, &mut tell);
    floats(problem, wash, at, now, &mut tell);
}

fn weights<'s>(problem: &Problem<'_>, at: impl Fn(f64) -> &'s Seen, tell: &mut impl FnMut(Miss)) {
    let litres = problem.recipe.litres;
    let Some(first) = problem.weights.first() else { return };
    let begun = at(first.time_h).ethanol;
    for lost in problem.weights.iter().skip(1) {
        let gas_g_l = CO2_PER_ETHANOL * (at(lost.time_h).ethanol - begun);
        let leaves_g_l = (gas_g_l - gas_g_l.min(1.3)) * 1.012;
        let expected = litres * leaves_g_l / 1000.0;
        let sd = 0.03_f64.hypot(0.02 * expected).hypot(0.0005 * litres);
        tell(Miss {
            column: Column::Weight,
            time_h: lost.time_h,
            row: lost.row,
            miss: lost.value - expected,
            sd,
            wrong: 0.05,
            wrong_sd: 10.0 * sd,
            counts: 1.0,
        });
    }
}

fn floats<'s>(
    problem: &Problem<'_>,
    wash: &Wash,
    at: impl Fn(f64) -> &'s Seen,
    now: f64,
    tell: &mut impl FnMut(Miss),
) {
    let [scale, offset, drift] = wash.float;
    for float in &problem.floats {
        let gravity = at(float.time_h).gravity;
        let shown = 1.0 + (gravity - 1.0) * (1.0 + scale) + offset + drift * float.time_h / 100.0;
        let foam: f64 = if float.time_h < 60.0 { 0.003 } else { 0.0 };
        let model = MODEL_SHARE * (gravity - now).abs();
        tell(Miss {
            column: Column::Float,
            time_h: float.time_h,
            row: float.row,
            miss: float.value - shown,
            sd: (0.0018_f64.powi(2) + foam * foam + model * model).sqrt(),
            wrong: 0.06,
            wrong_sd: 0.02,
            counts: FLOAT_COUNTS,
        });
    }
}
