//! What of a wash's readings becomes entries: few, since a wash lasts weeks and moves in hours.

use std::collections::BTreeMap;

use sense::{WashProbe, impossible};

/// When a reading of a probe is kept.
struct Due {
    /// So long after the last that was kept, s.
    every_s: f64,
    /// Sooner where it moved by so much.
    moved: f64,
    /// But never sooner than this, s.
    soonest_s: f64,
}

/// Judgement. A wash falls by some thousandths in an hour at most, and its temperature by a kelvin
/// where something happens; a forecast weighs a float each eight hours. Readings of acid and weight
/// share their instrument's error and are weighed one by one, so there are as few as by hand.
const fn due_of(probe: WashProbe) -> Due {
    match probe {
        WashProbe::Temperature => Due { every_s: 3600.0, moved: 1.0, soonest_s: 600.0 },
        WashProbe::Gravity => Due { every_s: 3600.0, moved: 0.003, soonest_s: 600.0 },
        WashProbe::Ph | WashProbe::Weight => {
            Due { every_s: 28_800.0, moved: f64::INFINITY, soonest_s: 28_800.0 }
        }
    }
}

/// What was kept last of each probe of a wash.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Thin {
    kept: BTreeMap<WashProbe, (f64, f64)>,
}

/// What comes of one reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sifted {
    /// It becomes an entry.
    Kept,
    /// One like it stands in the log, or it is not later than that one.
    PassedOver,
    /// It cannot be true.
    Impossible,
}

impl Thin {
    /// Nothing was kept yet.
    #[must_use]
    pub const fn new() -> Self {
        Self { kept: BTreeMap::new() }
    }

    /// Judges a reading at a time, s by any clock that is the same for all of them.
    pub fn sift(&mut self, probe: WashProbe, at_s: f64, value: f64) -> Sifted {
        if impossible(probe, at_s, value, None).is_some() {
            return Sifted::Impossible;
        }
        let Due { every_s, moved, soonest_s } = due_of(probe);
        let due = self.kept.get(&probe).is_none_or(|&(last_s, last)| {
            let gap_s = at_s - last_s;
            gap_s >= every_s || gap_s >= soonest_s && (value - last).abs() >= moved
        });
        if !due {
            return Sifted::PassedOver;
        }
        self.kept.insert(probe, (at_s, value));
        Sifted::Kept
    }
}

#[cfg(test)]
mod tests {
    use sense::WashProbe::{Gravity, Ph, Temperature};

    use super::{Sifted, Thin};

    #[test]
    fn three_weeks_at_a_reading_a_second_are_a_row_an_hour() {
        let mut thin = Thin::default();
        let hours = 21 * 24;
        let mut kept = 0;
        // Each half minute stands for its thirty readings: none of them is due sooner.
        for half_minute in 0..hours * 120 {
            let (at_s, hour) = (30.0 * f64::from(half_minute), f64::from(half_minute) / 120.0);
            let gravity = 0.998 + 0.080 * (-hour / 60.0).exp();
            kept += u32::from(thin.sift(Gravity, at_s, gravity) == Sifted::Kept);
        }
        assert_eq!(kept, u32::try_from(hours).unwrap());
    }

    #[test]
    fn what_flickers_is_bounded_and_what_moves_is_kept_sooner() {
        let mut thin = Thin::default();
        let flickers = (0..86_400).filter(|&second| {
            let value = if second % 2 == 0 { 1.050 } else { 1.150 };
            thin.sift(Gravity, f64::from(second), value) == Sifted::Kept
        });
        assert!(flickers.count() <= 144, "six an hour at most");
        let mut thin = Thin::default();
        let sift = |thin: &mut Thin, minute: u32, value| {
            thin.sift(Temperature, 60.0 * f64::from(minute), value)
        };
        assert_eq!(sift(&mut thin, 0, 21.0), Sifted::Kept);
        assert_eq!(sift(&mut thin, 5, 24.0), Sifted::PassedOver);
        assert_eq!(sift(&mut thin, 10, 24.0), Sifted::Kept, "something happened");
        assert_eq!(sift(&mut thin, 9, 30.0), Sifted::PassedOver, "an earlier one that comes late");
        assert_eq!(sift(&mut thin, 69, 24.5), Sifted::PassedOver);
        assert_eq!(sift(&mut thin, 70, 24.5), Sifted::Kept);
        assert_eq!(sift(&mut thin, 200, 85.0), Sifted::Impossible);
        let acid = (0..48).filter(|&hour| {
            thin.sift(Ph, 3600.0 * f64::from(hour), 4.5 - 0.02 * f64::from(hour)) == Sifted::Kept
        });
        assert_eq!(acid.count(), 6);
    }
}
