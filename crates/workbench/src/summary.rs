//! Scores of many forecasts in one line a group: means, medians, coverage, histograms of places.

use serde::Serialize;

use super::scored::{Mark, Scored};

/// Bars of a histogram of places.
pub const PLACES: usize = 10;

/// One quantity over a group, in percent of the hearts' duration or litres.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Side {
    /// Mean score.
    pub crps: f64,
    /// Median of the errors' size.
    pub median_error: f64,
    /// 90th percentile of the errors' size.
    pub p90_error: f64,
    /// Median error with its sign.
    pub bias: f64,
    /// Mean width of the 80 % band.
    pub width_80: f64,
    /// Share of truths in the 80 % band.
    pub cover_80: f64,
    /// Share of truths in the 95 % band.
    pub cover_95: f64,
}

/// Strength now over a group, % vol.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StrengthSide {
    /// How many were given.
    pub count: usize,
    /// Median of the errors' size.
    pub median_error: f64,
    /// 90th percentile of the errors' size.
    pub p90_error: f64,
    /// Share of truths in the 80 % band, where bands were given.
    pub cover_80: Option<f64>,
}

/// A group at one moment, or at all of them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Summary {
    /// Which.
    pub group: String,
    /// Share of the hearts; none for all moments together.
    pub at_fraction: Option<f64>,
    /// How many forecasts.
    pub count: usize,
    /// End of the hearts.
    pub end: Side,
    /// Litres of the hearts.
    pub litres: Side,
    /// Strength now, where it was given.
    pub strength: Option<StrengthSide>,
    /// The raw head probe's strength beside it, where it could be told.
    pub naive_strength: Option<StrengthSide>,
}

/// All groups in order, each at every moment and over all moments.
#[must_use]
pub fn summaries(scored: &[Scored]) -> Vec<Summary> {
    let mut lines = Vec::new();
    for group in groups(scored) {
        let members: Vec<&Scored> =
            scored.iter().filter(|one| one.groups().contains(&group)).collect();
        for at in fractions(scored) {
            let then: Vec<&Scored> =
                members.iter().copied().filter(|one| one.at_fraction == at).collect();
            lines.extend(summary(&group, Some(at), &then));
        }
        lines.extend(summary(&group, None, &members));
    }
    lines
}

/// The groups' names: all, families, columns, healthy and faulty, probes, places in series.
#[must_use]
pub fn groups(scored: &[Scored]) -> Vec<String> {
    let rank = |group: &str| match group {
        "all" => 0,
        "healthy" | "faulty" => 3,
        "columns" => 2,
        _ if group.starts_with("probes") => 4,
        _ if group.starts_with("series") => 5,
        _ => 1,
    };
    let mut found: Vec<String> = scored.iter().flat_map(Scored::groups).collect();
    found.sort_by(|a, b| (rank(a), a).cmp(&(rank(b), b)));
    found.dedup();
    found
}

/// The moments, in order.
#[must_use]
pub fn fractions(scored: &[Scored]) -> Vec<f64> {
    let mut found: Vec<f64> = scored.iter().map(|one| one.at_fraction).collect();
    found.sort_by(f64::total_cmp);
    found.dedup();
    found
}

/// How often the truth took each tenth of the forecast distribution.
#[must_use]
pub fn places(scored: &[&Scored], of: fn(&Scored) -> &Mark) -> [usize; PLACES] {
    let mut bars = [0; PLACES];
    for one in scored {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 1")]
        let bar = (of(one).place.clamp(0.0, 1.0) * PLACES as f64) as usize;
        bars[bar.min(PLACES - 1)] += 1;
    }
    bars
}

fn summary(group: &str, at_fraction: Option<f64>, members: &[&Scored]) -> Option<Summary> {
    let errors = |of: fn(&Scored) -> Option<f64>| {
        members.iter().filter_map(|one| of(one)).collect::<Vec<f64>>()
    };
    let inside: Vec<bool> = members.iter().filter_map(|one| one.strength_inside).collect();
    let cover = (!inside.is_empty()).then(|| share(&inside));
    Some(Summary {
        group: group.to_owned(),
        at_fraction,
        count: members.len(),
        end: side(members, |one| &one.end)?,
        litres: side(members, |one| &one.litres)?,
        strength: strength(&errors(|one| one.strength_error), cover),
        naive_strength: strength(&errors(|one| one.naive_strength_error), None),
    })
}

fn side(members: &[&Scored], of: fn(&Scored) -> &Mark) -> Option<Side> {
    let all =
        |value: fn(&Mark) -> f64| members.iter().map(|one| value(of(one))).collect::<Vec<f64>>();
    let sizes: Vec<f64> = all(|mark| mark.error.abs());
    let held = |value: fn(&Mark) -> bool| {
        share(&members.iter().map(|one| value(of(one))).collect::<Vec<bool>>())
    };
    Some(Side {
        crps: mean(&all(|mark| mark.crps))?,
        median_error: percentile(&sizes, 0.5)?,
        p90_error: percentile(&sizes, 0.9)?,
        bias: percentile(&all(|mark| mark.error), 0.5)?,
        width_80: mean(&all(|mark| mark.width_80))?,
        cover_80: held(|mark| mark.inside_80),
        cover_95: held(|mark| mark.inside_95),
    })
}

fn strength(errors: &[f64], cover_80: Option<f64>) -> Option<StrengthSide> {
    let sizes: Vec<f64> = errors.iter().map(|error| error.abs()).collect();
    let (median_error, p90_error) = (percentile(&sizes, 0.5)?, percentile(&sizes, 0.9)?);
    Some(StrengthSide { count: sizes.len(), median_error, p90_error, cover_80 })
}

fn share(held: &[bool]) -> f64 {
    held.iter().filter(|&&held| held).count() as f64 / held.len().max(1) as f64
}

pub(super) fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// Linear between order statistics; none of nothing.
pub(super) fn percentile(values: &[f64], level: f64) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let last = sorted.len().checked_sub(1)?;
    let at = level * last as f64;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to the count")]
    let low = (at.floor() as usize).min(last);
    let high = (low + 1).min(last);
    Some(sorted[low] + (sorted[high] - sorted[low]) * (at - low as f64))
}
