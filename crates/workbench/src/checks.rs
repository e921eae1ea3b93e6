//! Bounds that the scores of a whole collection should keep, each with what was found.

use serde::Serialize;

use super::scored::{Mark, Scored};
use super::summary::{Summary, summaries};

/// One bound.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Check {
    /// Of what.
    pub what: String,
    /// Found.
    pub value: f64,
    /// From here.
    pub low: f64,
    /// To here.
    pub high: f64,
    /// Whether it is kept.
    pub kept: bool,
}

pub(super) fn check(what: String, value: f64, low: f64, high: f64) -> Check {
    // A share on its bound keeps it whatever the rounding of its sum.
    let kept = value >= low - 1e-9 && value <= high + 1e-9;
    Check { what, value, low, high, kept }
}

/// Coverage of the bands over all moments, how far faulty runs miss, strength now.
#[must_use]
pub fn checks(scored: &[Scored]) -> Vec<Check> {
    let mut found = Vec::new();
    for line in summaries(scored).iter().filter(|line| line.at_fraction.is_none()) {
        let bounds = match line.group.as_str() {
            "all" => Some(([0.74, 0.86], [0.90, 0.99])),
            "faulty" => Some(([0.68, 1.0], [0.0, 1.0])),
            group if is_family(group, scored) => Some(([0.70, 0.90], [0.88, 1.0])),
            _ => None,
        };
        if let Some(bounds) = bounds {
            found.extend(coverage(line, bounds));
        }
    }
    let faulty: Vec<&Scored> = scored.iter().filter(|one| !one.healthy).collect();
    for (of, mark) in sides() {
        let far = faulty.iter().filter(|one| mark(one).beyond_95 > 1.0).count();
        if !faulty.is_empty() {
            let what =
                format!("faulty, {of}: share outside the 95 % band by more than its half-width");
            found.push(check(what, far as f64 / faulty.len() as f64, 0.0, 0.05));
        }
    }
    found.extend(strength(scored));
    found
}

/// Which quantity of a scored forecast.
pub type SideOf = fn(&Scored) -> &Mark;

/// The two quantities by name.
#[must_use]
pub fn sides() -> [(&'static str, SideOf); 2] {
    [("end", |one| &one.end), ("litres", |one| &one.litres)]
}

fn is_family(group: &str, scored: &[Scored]) -> bool {
    scored.iter().any(|one| one.family == group)
}

fn coverage(
    line: &Summary,
    ([low_80, high_80], [low_95, high_95]): ([f64; 2], [f64; 2]),
) -> Vec<Check> {
    let mut found = Vec::new();
    for (of, side) in [("end", &line.end), ("litres", &line.litres)] {
        found.push(check(
            format!("{}, {of}: truth in the 80 % band", line.group),
            side.cover_80,
            low_80,
            high_80,
        ));
        if low_95 > 0.0 {
            found.push(check(
                format!("{}, {of}: truth in the 95 % band", line.group),
                side.cover_95,
                low_95,
                high_95,
            ));
        }
    }
    found
}

fn strength(scored: &[Scored]) -> Vec<Check> {
    let all = summaries(scored)
        .into_iter()
        .find(|line| line.group == "all" && line.at_fraction.is_none());
    let Some(strength) = all.and_then(|line| line.strength) else { return Vec::new() };
    vec![
        check("strength now: median error, % vol".to_owned(), strength.median_error, 0.0, 0.22),
        check(
            "strength now: 90th percentile of the error, % vol".to_owned(),
            strength.p90_error,
            0.0,
            0.6,
        ),
        check(
            "strength now: share of forecasts that give it".to_owned(),
            strength.count as f64 / scored.len() as f64,
            1.0,
            1.0,
        ),
    ]
}

/// The forecasts that miss furthest, by how far outside the 95 % band, then by score.
#[must_use]
pub fn worst(scored: &[Scored], most: usize) -> Vec<&Scored> {
    let how_bad = |one: &Scored| {
        let beyond = one.end.beyond_95.max(one.litres.beyond_95);
        (beyond, one.end.crps + one.litres.crps)
    };
    let mut ordered: Vec<&Scored> = scored.iter().collect();
    ordered.sort_by(|a, b| {
        let (a, b) = (how_bad(a), how_bad(b));
        b.0.total_cmp(&a.0).then(b.1.total_cmp(&a.1))
    });
    ordered.truncate(most);
    ordered
}

/// The runs with the highest score over all their moments, worst first.
#[must_use]
pub fn worst_runs(scored: &[Scored], most: usize) -> Vec<String> {
    let mut sums: std::collections::BTreeMap<&str, (f64, f64)> = std::collections::BTreeMap::new();
    for one in scored {
        let sum = sums.entry(one.run.as_str()).or_default();
        sum.0 += one.end.crps + one.litres.crps;
        sum.1 += 1.0;
    }
    let mut ordered: Vec<(&str, f64)> =
        sums.into_iter().map(|(run, (sum, count))| (run, sum / count)).collect();
    ordered.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(b.0)));
    ordered.into_iter().take(most).map(|(run, _)| run.to_owned()).collect()
}
