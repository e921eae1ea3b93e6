//! How often a probe is read, and so when it is stale.

use crate::numbers::median;

/// Readings further apart than this are typed by a person, s (judgement: no feeder is slower).
const TYPED_GAP_S: f64 = 90.0;
/// A typed reading is stale after this, s (judgement).
const TYPED_STALE_S: f64 = 600.0;
/// Missed readings that make a channel stale, and the least time, s (judgement: one lost packet is
/// no loss).
const STALE_READINGS: f64 = 3.0;
const STALE_LEAST_S: f64 = 10.0;
/// Intervals remembered.
const GAPS_MAX: usize = 8;

/// The latest intervals between readings.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Cadence {
    last_s: Option<f64>,
    gaps: [f64; GAPS_MAX],
    count: usize,
    /// Median of the intervals remembered, s.
    usual_s: Option<f64>,
}

impl Cadence {
    /// Takes the time of a reading. `None` for one that is not later than the last; else whether
    /// the interval since the last was a gap, in which nothing is known of the probe.
    pub fn take(&mut self, time_s: f64) -> Option<bool> {
        let Some(last_s) = self.last_s.replace(time_s) else { return Some(false) };
        if time_s <= last_s {
            self.last_s = Some(last_s);
            return None;
        }
        let passed_s = time_s - last_s;
        let gap = self.count > 0 && passed_s > self.stale_after_s();
        self.gaps[self.count % GAPS_MAX] = passed_s;
        self.count = self.count.wrapping_add(1).max(1);
        let mut gaps = self.gaps;
        self.usual_s = median(&mut gaps[..self.count.min(GAPS_MAX)]);
        Some(gap)
    }

    /// Whether a person types it.
    #[must_use]
    pub fn typed(&self) -> bool {
        self.usual_s.is_none_or(|gap| gap > TYPED_GAP_S)
    }

    /// Age at which it is stale, s.
    #[must_use]
    pub fn stale_after_s(&self) -> f64 {
        match self.usual_s {
            Some(gap) if gap <= TYPED_GAP_S => (STALE_READINGS * gap).max(STALE_LEAST_S),
            _ => TYPED_STALE_S,
        }
    }

    /// When it was last read, s.
    #[must_use]
    pub const fn last_s(&self) -> Option<f64> {
        self.last_s
    }

    /// The usual interval between readings, s.
    #[must_use]
    pub const fn usual_s(&self) -> Option<f64> {
        self.usual_s
    }

    /// Age of the last reading, s.
    #[must_use]
    pub fn age_s(&self, now_s: f64) -> Option<f64> {
        self.last_s.map(|last_s| (now_s - last_s).max(0.0))
    }

    /// Whether the last reading is too old.
    #[must_use]
    pub fn stale(&self, now_s: f64) -> bool {
        self.age_s(now_s).is_some_and(|age_s| age_s > self.stale_after_s())
    }
}
