//! One set of forecasts against another of the same runs and moments, with how sure the gain is.

use std::collections::BTreeMap;

use rand::rngs::Xoshiro256PlusPlus;
use rand::{RngExt, SeedableRng};
use serde::Serialize;

use super::scored::Scored;
use super::summary::{fractions, groups, percentile};

/// How often the runs are drawn again.
const RESAMPLES: usize = 2000;

/// How much lower the mean score is, in percent of the other's; below 0: higher.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Gain {
    /// Found.
    pub percent: f64,
    /// Low end of its 95 % bootstrap interval.
    pub low: f64,
    /// High end.
    pub high: f64,
}

/// A group at one moment, or pooled.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Paired {
    /// Which.
    pub group: String,
    /// Moments as words: `5 %`, `25 to 90 %`, `all`.
    pub moments: String,
    /// Forecasts that both made.
    pub count: usize,
    /// Runs or series that are drawn as one.
    pub units: usize,
    /// End of the hearts.
    pub end: Gain,
    /// Litres of the hearts.
    pub litres: Gain,
    /// Both together: the mean of the two.
    pub both: Gain,
}

/// Scores of one pair: end and litres, ours and theirs.
type Pair = ([f64; 2], [f64; 2]);

/// Every group at every moment, from 25 % on and over all moments; series one by one, and their
/// second and later runs together.
///
/// Runs are the units of the resampling, a series is one unit: its runs are not independent. Only
/// where a series stands alone are its runs drawn.
#[must_use]
pub fn compare(ours: &[Scored], theirs: &[Scored], seed: u64) -> Vec<Paired> {
    let other: BTreeMap<(&str, u64), &Scored> =
        theirs.iter().map(|one| ((one.run.as_str(), one.at_fraction.to_bits()), one)).collect();
    let pairs: Vec<(&Scored, &Scored)> = ours
        .iter()
        .filter_map(|one| Some((one, *other.get(&(one.run.as_str(), one.at_fraction.to_bits()))?)))
        .collect();
    let mut lines = Vec::new();
    let mut add = |group: &str, moments: String, chosen: Vec<(&Scored, &Scored)>| {
        lines.extend(paired(group, moments, &chosen, seed));
    };
    let is_late = |one: &Scored| one.at_fraction >= 0.25;
    for group in groups(ours) {
        let members: Vec<_> =
            pairs.iter().copied().filter(|(one, _)| one.groups().contains(&group)).collect();
        // Places in a series are few: at single moments they would say nothing.
        let single = if group.starts_with("series") { Vec::new() } else { fractions(ours) };
        for at in single {
            let then = members.iter().copied().filter(|(one, _)| one.at_fraction == at).collect();
            add(&group, format!("{} %", (100.0 * at).round()), then);
        }
        add(
            &group,
            "25 to 90 %".to_owned(),
            members.iter().copied().filter(|(one, _)| is_late(one)).collect(),
        );
        add(&group, "all".to_owned(), members);
    }
    let taught = |one: &Scored| one.series_run.is_some_and(|nth| nth > 1) && is_late(one);
    let mut series: Vec<&str> =
        pairs.iter().filter(|(one, _)| taught(one)).map(|(one, _)| one.unit.as_str()).collect();
    series.dedup();
    add(
        "taught runs",
        "25 to 90 %".to_owned(),
        pairs.iter().copied().filter(|(one, _)| taught(one)).collect(),
    );
    for unit in series {
        let members =
            pairs.iter().copied().filter(|(one, _)| taught(one) && one.unit == unit).collect();
        add(&format!("taught runs of {unit}"), "25 to 90 %".to_owned(), members);
    }
    lines
}

fn paired(
    group: &str,
    moments: String,
    chosen: &[(&Scored, &Scored)],
    seed: u64,
) -> Option<Paired> {
    // Of one series alone, its runs are drawn: the best that it can say.
    let is_one = chosen.windows(2).all(|pair| pair[0].0.unit == pair[1].0.unit);
    let unit_of = |one: &'_ Scored| if is_one { one.run.clone() } else { one.unit.clone() };
    let mut by_unit: BTreeMap<String, Vec<Pair>> = BTreeMap::new();
    for (one, other) in chosen {
        let pair = ([one.end.crps, one.litres.crps], [other.end.crps, other.litres.crps]);
        by_unit.entry(unit_of(one)).or_default().push(pair);
    }
    let units: Vec<([f64; 2], [f64; 2])> = by_unit.values().map(|pairs| sums(pairs)).collect();
    let found = gains(&sums(&units))?;
    let mut random = Xoshiro256PlusPlus::seed_from_u64(seed);
    let mut drawn: [Vec<f64>; 3] = Default::default();
    for _ in 0..RESAMPLES {
        let sample: Vec<Pair> =
            (0..units.len()).map(|_| units[random.random_range(0..units.len())]).collect();
        for (kept, gain) in drawn.iter_mut().zip(gains(&sums(&sample)).into_iter().flatten()) {
            kept.push(gain);
        }
    }
    let gain = |which: usize| -> Option<Gain> {
        let (low, high) = (percentile(&drawn[which], 0.025)?, percentile(&drawn[which], 0.975)?);
        Some(Gain { percent: found[which], low, high })
    };
    let group = group.to_owned();
    Some(Paired {
        group,
        moments,
        count: chosen.len(),
        units: units.len(),
        end: gain(0)?,
        litres: gain(1)?,
        both: gain(2)?,
    })
}

fn sums(pairs: &[Pair]) -> Pair {
    let mut sum: Pair = Default::default();
    for (ours, theirs) in pairs {
        for which in 0..2 {
            sum.0[which] += ours[which];
            sum.1[which] += theirs[which];
        }
    }
    sum
}

/// End, litres and the mean of both; none where the other's score is 0.
fn gains((ours, theirs): &Pair) -> Option<[f64; 3]> {
    let gain =
        |which: usize| (theirs[which] > 0.0).then(|| 100.0 * (1.0 - ours[which] / theirs[which]));
    let (end, litres) = (gain(0)?, gain(1)?);
    Some([end, litres, 0.5 * (end + litres)])
}
