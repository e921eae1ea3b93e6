//! How much better forecasts should be than others of the same runs, each bound with what was found.

use super::checks::{Check, check};
use super::paired::Paired;

/// What the other forecasts are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Other {
    /// A plain balance of alcohol, made by another program.
    Balance,
    /// The same model, to which nothing that was measured counts.
    NoUpdate,
    /// The same model, to which no run of a series teaches anything.
    NoLearning,
}

/// Which quantity of a comparison.
type GainOf = (&'static str, fn(&Paired) -> f64);

const END: GainOf = ("end", |line| line.end.percent);
const LITRES: GainOf = ("litres", |line| line.litres.percent);
const BOTH: GainOf = ("both", |line| line.both.percent);

/// Bounds of a comparison: group, moments, quantity, at least that many percent lower.
fn bounds(other: Other) -> Vec<(&'static str, &'static str, GainOf, f64)> {
    match other {
        Other::Balance => {
            let mut bounds = vec![
                ("columns", "50 %", END, 35.0),
                ("columns", "50 %", LITRES, 35.0),
                ("pot", "50 %", END, 40.0),
                ("pot", "50 %", LITRES, 50.0),
                ("all", "50 %", END, 40.0),
                ("all", "50 %", LITRES, 40.0),
            ];
            for family in ["col_strong", "col_weak", "pot"] {
                bounds.extend([(family, "5 %", END, 0.0), (family, "5 %", LITRES, 0.0)]);
            }
            bounds
        }
        Other::NoUpdate => vec![
            ("all", "50 %", END, 20.0),
            ("all", "50 %", LITRES, 20.0),
            ("pot", "50 %", END, 40.0),
            ("pot", "50 %", LITRES, 40.0),
        ],
        Other::NoLearning => vec![("taught runs", "25 to 90 %", BOTH, 5.0)],
    }
}

/// The bounds of one comparison beside what was found in it.
#[must_use]
pub fn gain_checks(name: &str, other: Other, lines: &[Paired]) -> Vec<Check> {
    let found = |line: &Paired, (of, gain): GainOf, least: f64| {
        let what = format!("{}, {of} at {}: % lower than {name}", line.group, line.moments);
        check(what, gain(line), least, 100.0)
    };
    let mut checks = Vec::new();
    for (group, moments, of, least) in bounds(other) {
        let line = lines.iter().find(|line| line.group == group && line.moments == moments);
        checks.extend(line.map(|line| found(line, of, least)));
    }
    if other == Other::NoLearning {
        let single = lines.iter().filter(|line| line.group.starts_with("taught runs of "));
        checks.extend(single.map(|line| found(line, BOTH, -10.0)));
    }
    checks
}
