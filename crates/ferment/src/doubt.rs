//! Readings that are doubted, and why.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::belief::Unknowns;
use crate::course::Course;
use crate::log::Log;
use crate::misses::{self, Column, Miss};
use crate::problem::Problem;
use crate::wash::Wash;

/// A reading that is doubted.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Doubted {
    /// Hours from pitching.
    pub time_h: f64,
    /// Its column: `gravity`, `temperature_c`, `ph`, `weight_kg`, or `float` for its gravity.
    pub column: &'static str,
    /// What was written.
    pub value: f64,
    /// Why.
    pub why: String,
}

impl Doubted {
    /// Whether a gravity read with the glass at that hour is in doubt by it.
    #[must_use]
    pub fn spoils_the_glass(&self) -> bool {
        matches!(self.column, "gravity" | "temperature_c")
    }
}

/// A reading so many standard deviations from what the washes expect is doubted.
const FAR: f64 = 3.5;
/// Washes that are asked.
const ASKED: usize = 40;

/// Readings that no possible wash explains.
pub(crate) fn find(problem: &Problem<'_>, log: &Log, washes: &[Unknowns]) -> Vec<Doubted> {
    let mut misses: BTreeMap<(Column, usize), Vec<Miss>> = BTreeMap::new();
    let every = (washes.len() / ASKED).max(1);
    for z in washes.iter().step_by(every) {
        let wash = Wash::of(problem, z);
        let seen = Course::begin(problem, &wash).seen();
        misses::each(problem, &wash, &seen, |one| {
            misses.entry((one.column, one.row)).or_default().push(one);
        });
    }
    let mut doubted = Vec::new();
    for ((column, _), list) in &mut misses {
        list.sort_by(|a, b| a.miss.total_cmp(&b.miss));
        let Some(middle) = list.get(list.len() / 2) else { continue };
        if middle.miss.abs() > FAR * middle.sd {
            doubted.push(match column {
                Column::Gravity => gravity(problem, log, middle),
                _ => other(log, middle),
            });
        }
    }
    doubted.sort_by(|a, b| a.time_h.total_cmp(&b.time_h));
    doubted
}

/// A reading of pH, weight or float.
fn other(log: &Log, off: &Miss) -> Doubted {
    let (column, value, digits, unit) = match off.column {
        Column::Weight => ("weight_kg", log.glass[off.row].weight_kg, 2, " kg"),
        Column::Float => ("float", log.float[off.row].gravity, 3, ""),
        _ => ("ph", log.glass[off.row].ph, 1, ""),
    };
    // What weighs more than expected has lost less.
    let miss = if off.column == Column::Weight { -off.miss } else { off.miss };
    let way = if miss > 0.0 { "higher" } else { "lower" };
    let off_by = miss.abs();
    let why =
        format!("reads {off_by:.digits$}{unit} {way} than any course through the other readings");
    Doubted { time_h: off.time_h, column, value: value.unwrap_or_default(), why }
}

fn gravity(problem: &Problem<'_>, log: &Log, off: &Miss) -> Doubted {
    let glass = &log.glass[off.row];
    let miss = off.miss;
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
