//! What runs taught about the ends that the draws give: how much less is left than they have it, and
//! how much further out, or nearer, the ends of bands lie.
//!
//! What no hypothesis names comes more often than a bell has it, and what the beliefs fear does not
//! always come: bands of draws hold too seldom or too often over runs whose end is known, and their
//! middle comes late. Factors learned from such runs move them (`learned`, written by
//! `cargo xtask calibrate`).

use still::plan::{ChargeKind, RunPlan, StillKind, likely_kind};

use super::learned;
use super::outlook::EndForecast;
use quantities::Band;

/// What is to come of something over what the draws have of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Factors {
    /// Of what is left from now on, where the still ends it: its head or its strength.
    pub left: f64,
    /// Of the distance of the ends of the 80 % band from its middle.
    pub inner: f64,
    /// The same of the 95 % band.
    pub outer: f64,
}

/// The kinds of run that are learned from apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RunKind {
    /// A column with a wash.
    Wash,
    /// A column with low wines.
    LowWines,
    /// A pot still with either.
    Pot,
}

impl RunKind {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Wash, Self::LowWines, Self::Pot];

    /// The kind of a planned run.
    #[must_use]
    pub fn of(plan: &RunPlan) -> Self {
        match (plan.still.kind, likely_kind(&plan.charge)) {
            (StillKind::Pot, _) => Self::Pot,
            (StillKind::Column, ChargeKind::LowWines) => Self::LowWines,
            (StillKind::Column, _) => Self::Wash,
        }
    }
}

/// The factors of a kind of run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EndFactors {
    /// Of the time of an end.
    pub time: Factors,
    /// Of the litres until then.
    pub litres: Factors,
}

impl EndFactors {
    /// Moves nothing: the draws as they are.
    pub(super) const AS_DRAWN: Self = of([[1.0; 3]; 2]);
}

/// The factors of a kind of run.
pub(super) const fn end_factors(kind: RunKind) -> EndFactors {
    of(match kind {
        RunKind::Wash => learned::WASH,
        RunKind::LowWines => learned::LOW_WINES,
        RunKind::Pot => learned::POT,
    })
}

const fn of([time, litres]: [[f64; 3]; 2]) -> EndFactors {
    EndFactors {
        time: Factors { left: time[0], inner: time[1], outer: time[2] },
        litres: Factors { left: litres[0], inner: litres[1], outer: litres[2] },
    }
}

/// What can be: an end not before and not after, and litres not less and not more than.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Possible {
    pub(super) now_s: f64,
    pub(super) latest_s: Option<f64>,
    pub(super) drawn_l: f64,
    pub(super) most_l: f64,
}

impl Possible {
    /// An end with its bands moved, within what can be.
    pub(super) fn moved(self, end: EndForecast, by: &EndFactors) -> EndForecast {
        EndForecast {
            time_s: reached(
                end.time_s,
                by.time,
                self.now_s,
                self.latest_s.unwrap_or(f64::INFINITY),
            ),
            litres: reached(end.litres, by.litres, self.drawn_l, self.most_l),
            ..end
        }
    }
}

/// Moves the quantiles of a band; none that comes out leaves `low` to `high`, and the inner ones
/// stay within the outer.
fn reached(band: Band, by: Factors, low: f64, high: f64) -> Band {
    let at = |quantile: f64, factor: f64| {
        let there = band.p50 + factor * (quantile - band.p50);
        if quantile < band.p50 {
            there.max(low.min(quantile))
        } else {
            there.min(high.max(quantile))
        }
    };
    let (p10, p90) = (at(band.p10, by.inner), at(band.p90, by.inner));
    Band {
        p025: at(band.p025, by.outer).min(p10),
        p10,
        p90,
        p975: at(band.p975, by.outer).max(p90),
        ..band
    }
}

#[cfg(test)]
mod tests {
    use super::{Band, Factors, reached};

    #[test]
    fn ends_move_and_not_beyond_what_can_be() {
        let band = Band::from_array([8.0, 9.0, 10.0, 11.0, 12.0]);
        let moved = |inner: f64, outer: f64, low: f64, high: f64| {
            reached(band, Factors { left: 1.0, inner, outer }, low, high).to_array()
        };
        assert_eq!(moved(1.0, 1.5, 0.0, 99.0), [7.0, 9.0, 10.0, 11.0, 13.0]);
        assert_eq!(moved(0.5, 1.5, 7.5, 12.5), [7.5, 9.5, 10.0, 10.5, 12.5]);
        assert_eq!(moved(1.0, 1.5, 8.5, 11.5), band.to_array(), "never nearer for a bound");
        assert_eq!(moved(3.0, 1.0, 0.0, 99.0), [7.0, 7.0, 10.0, 13.0, 13.0], "80 in 95 %");
    }
}
