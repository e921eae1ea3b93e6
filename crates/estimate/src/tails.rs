//! The ends of the 95 % bands: how much further out they lie than the draws have them.
//!
//! What no hypothesis names comes more often than a bell has it: the draws' outer quantiles held too
//! seldom over runs whose end is known, the inner ones as often as they say. So only the outer ones
//! are moved, by factors learned from such runs (`learned`, written by `cargo xtask calibrate`).

use still::plan::StillKind;

use super::learned;
use super::outlook::EndForecast;
use quantities::Band;

/// Distance of the outer quantiles from the middle over that of the draws.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tails {
    /// Of the time of an end.
    pub time: f64,
    /// Of the litres until then.
    pub litres: f64,
}

/// The factors of a kind of still.
#[must_use]
pub const fn tails(kind: StillKind) -> Tails {
    match kind {
        StillKind::Pot => of(learned::POT),
        StillKind::Column => of(learned::COLUMN),
    }
}

const fn of([time, litres]: [f64; 2]) -> Tails {
    Tails { time, litres }
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
    /// An end with its 95 % bands moved out, within what can be.
    pub(super) fn widened(self, end: EndForecast, kind: StillKind) -> EndForecast {
        let Tails { time, litres } = tails(kind);
        EndForecast {
            time_s: outer(end.time_s, time, self.now_s, self.latest_s.unwrap_or(f64::INFINITY)),
            litres: outer(end.litres, litres, self.drawn_l, self.most_l),
            ..end
        }
    }
}

/// Moves the outer quantiles out, to `low` and `high` at most; none comes nearer.
fn outer(band: Band, factor: f64, low: f64, high: f64) -> Band {
    let out = |at: f64| band.p50 + factor * (at - band.p50);
    Band {
        p025: out(band.p025).max(low).min(band.p025),
        p975: out(band.p975).min(high).max(band.p975),
        ..band
    }
}

#[cfg(test)]
mod tests {
    use super::{Band, outer};

    #[test]
    fn only_the_ends_move_and_not_beyond_what_can_be() {
        let band = Band::from_array([8.0, 9.0, 10.0, 11.0, 12.0]);
        assert_eq!(outer(band, 1.5, 0.0, 99.0).to_array(), [7.0, 9.0, 10.0, 11.0, 13.0]);
        assert_eq!(outer(band, 1.5, 7.5, 12.5).to_array(), [7.5, 9.0, 10.0, 11.0, 12.5]);
        assert_eq!(outer(band, 1.5, 8.5, 11.5).to_array(), band.to_array(), "never nearer");
    }
}
