//! The ends of bands: how much further out, or nearer, they lie than the draws have them.
//!
//! What no hypothesis names comes more often than a bell has it, and what the beliefs fear does not
//! always come: bands of draws hold too seldom or too often over runs whose end is known. Factors
//! learned from such runs move them (`learned`, written by `cargo xtask calibrate`).

use still::plan::StillKind;

use super::learned;
use super::outlook::EndForecast;
use quantities::Band;

/// Distance of the quantiles of a band from its middle over that of the draws.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Factors {
    /// Of the ends of the 80 % band.
    pub inner: f64,
    /// Of the ends of the 95 % band.
    pub outer: f64,
}

/// The factors of a kind of still.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tails {
    /// Of the time of an end.
    pub time: Factors,
    /// Of the litres until then.
    pub litres: Factors,
}

/// The factors of a kind of still.
#[must_use]
pub const fn tails(kind: StillKind) -> Tails {
    match kind {
        StillKind::Pot => of(learned::POT),
        StillKind::Column => of(learned::COLUMN),
    }
}

const fn of([time, litres]: [[f64; 2]; 2]) -> Tails {
    Tails {
        time: Factors { inner: time[0], outer: time[1] },
        litres: Factors { inner: litres[0], outer: litres[1] },
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
    pub(super) fn moved(self, end: EndForecast, kind: StillKind) -> EndForecast {
        let Tails { time, litres } = tails(kind);
        EndForecast {
            time_s: reached(end.time_s, time, self.now_s, self.latest_s.unwrap_or(f64::INFINITY)),
            litres: reached(end.litres, litres, self.drawn_l, self.most_l),
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
            reached(band, Factors { inner, outer }, low, high).to_array()
        };
        assert_eq!(moved(1.0, 1.5, 0.0, 99.0), [7.0, 9.0, 10.0, 11.0, 13.0]);
        assert_eq!(moved(0.5, 1.5, 7.5, 12.5), [7.5, 9.5, 10.0, 10.5, 12.5]);
        assert_eq!(moved(1.0, 1.5, 8.5, 11.5), band.to_array(), "never nearer for a bound");
        assert_eq!(moved(3.0, 1.0, 0.0, 99.0), [7.0, 7.0, 10.0, 13.0, 13.0], "80 in 95 %");
    }
}
