//! Readings that are doubted, and why.

use serde::Serialize;

use crate::belief::{Unknowns, Wash};
use crate::course::Course;
use crate::likelihood;
use crate::log::Log;
use crate::problem::Problem;

/// A reading that is doubted.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Doubted {
    /// Hours from pitching.
    pub time_h: f64,
    /// Its column.
    pub column: &'static str,
    /// What was written.
    pub value: f64,
    /// Why.
    pub why: String,
}

/// A reading so many standard deviations from what the washes expect is doubted.
const FAR: f64 = 3.5;
/// Washes that are asked.
const ASKED: usize = 40;

/// Gravities that no possible wash explains.
pub(crate) fn find(problem: &Problem<'_>, log: &Log, washes: &[Unknowns]) -> Vec<Doubted> {
    let count = problem.gravities.len();
    let mut misses: Vec<Vec<(f64, f64)>> = vec![Vec::new(); count];
    let every = (washes.len() / ASKED).max(1);
    for z in washes.iter().step_by(every) {
        let wash = Wash::of(problem, z);
        let seen = Course::begin(problem, &wash).seen();
        let now = seen.last().map_or(1.0, |s| s.gravity);
        for (row, misses) in problem.gravities.iter().zip(&mut misses) {
            let place = problem.hours.partition_point(|&hour| hour < row.time_h);
            let (expected, sd) =
                likelihood::glass(problem, &wash, row, &seen[place.min(seen.len() - 1)], now);
            misses.push((row.value - expected, sd));
        }
    }
    let mut doubted = Vec::new();
    for (row, misses) in problem.gravities.iter().zip(&mut misses) {
        misses.sort_by(|a, b| a.0.total_cmp(&b.0));
        let Some(&(miss, sd)) = misses.get(misses.len() / 2) else { continue };
        if miss.abs() > FAR * sd {
            doubted.push(doubt(problem, log, row.row, miss));
        }
    }
    doubted
}

fn doubt(problem: &Problem<'_>, log: &Log, row: usize, miss: f64) -> Doubted {
    let glass = &log.glass[row];
    let way = if miss > 0.0 { "higher" } else { "lower" };
    let off = format!("reads {:.3} {way} than any course through the other readings", miss.abs());
    let jumped = glass.temperature_c.filter(|read| {
        let around = problem.temperatures.at(glass.time_h);
        !glass.cooled && around.is_some_and(|around| (around - read).abs() > 5.0)
    });
    if let Some(read) = jumped {
        return Doubted {
            time_h: glass.time_h,
            column: "temperature_c",
            value: read,
            why: format!(
                "the wash was not at {read} °C before or after; with it the gravity {off}"
            ),
        };
    }
    let early = glass.time_h < 2.0 && miss < 0.0;
    let why = if early { format!("{off}: sugar may not have been dissolved") } else { off };
    let value = glass.gravity.unwrap_or_default();
    Doubted { time_h: glass.time_h, column: "gravity", value, why }
}
