//! What no reading can be: no number, the sign of a broken probe, out of what there can be.

use crate::quality::Reason;
use crate::sensor::Sensor;

/// Values that broken probes send: power-on value and lost probe of a common digital sensor family.
const SENTINELS: [f64; 2] = [85.0, -127.0];
/// A sentinel this near the last good reading is a temperature, K (judgement); where the probe moved,
/// also one that it comes to as fast as it moved, but no further from it than this (judgement): a head
/// that cools passes 85 °C by 1.7 K in ten seconds.
const NEAR_K: f64 = 1.5;
const NEAR_MOST_K: f64 = 10.0;
/// It goes on as fast for so long at most, s: one that has stood on a sentinel since has not come there
/// by itself (judgement).
const GOES_ON_S: f64 = 120.0;

/// The last reading of a probe that could be true, and how fast it came to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LastGood {
    /// When, s.
    pub time_s: f64,
    /// What.
    pub value: f64,
    /// By how much it moved to it in a second, either way.
    pub rate_per_s: f64,
}

impl LastGood {
    /// A reading after another.
    #[must_use]
    pub fn after(before: Option<Self>, time_s: f64, value: f64) -> Self {
        let moved = |last: Self| (value - last.value).abs() / (time_s - last.time_s).max(1.0);
        Self { time_s, value, rate_per_s: before.map_or(0.0, moved) }
    }

    fn is_near(&self, time_s: f64, value: f64) -> bool {
        let goes_on_k = self.rate_per_s * (time_s - self.time_s).clamp(0.0, GOES_ON_S);
        (self.value - value).abs() <= (NEAR_K + goes_on_k).min(NEAR_MOST_K)
    }
}

/// Whether a value is one that broken probes send.
pub(crate) fn is_sentinel(sensor: impl Into<Sensor>, value: f64) -> bool {
    sensor.into().is_thermometer()
        && SENTINELS.iter().any(|sentinel| (sentinel - value).abs() < 1e-9)
}

/// Why a value cannot be true, where it cannot.
#[must_use]
pub fn impossible(
    sensor: impl Into<Sensor>,
    time_s: f64,
    value: f64,
    before: Option<LastGood>,
) -> Option<Reason> {
    if !value.is_finite() {
        return Some(Reason::NotANumber);
    }
    let sensor = sensor.into();
    let sentinel = is_sentinel(sensor, value);
    let (low, high) = sensor.possible();
    if sentinel && !before.is_some_and(|last| last.is_near(time_s, value)) {
        Some(Reason::Sentinel(value))
    } else if value < low || value > high {
        Some(Reason::OutOfRange(value))
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::{LastGood, Reason, impossible};
    use crate::Probe;

    /// What is thought of 85 °C after these readings, ten seconds apart.
    fn at_85_after(values: &[f64]) -> Option<Reason> {
        let times = (0..values.len()).map(|row| 10.0 * row as f64);
        let last = times
            .zip(values)
            .fold(None, |last, (time_s, value)| Some(LastGood::after(last, time_s, *value)));
        impossible(Probe::Head, 10.0 * values.len() as f64, 85.0, last)
    }

    #[test]
    fn a_head_that_cools_passes_85_degrees_and_one_that_jumps_there_is_broken() {
        assert_eq!(at_85_after(&[88.94, 87.94, 86.56]), None);
        assert_eq!(at_85_after(&[89.0, 88.125, 86.6875]), None);
        assert_eq!(at_85_after(&[78.3, 78.4, 78.3]), Some(Reason::Sentinel(85.0)));
        assert_eq!(at_85_after(&[88.0, 88.0, 88.0]), Some(Reason::Sentinel(85.0)));
        assert_eq!(at_85_after(&[20.0, 45.0, 70.0]), Some(Reason::Sentinel(85.0)), "15 K off");
        assert_eq!(at_85_after(&[]), Some(Reason::Sentinel(85.0)));
        let last = LastGood { time_s: 0.0, value: 78.0, rate_per_s: 0.00625 };
        let an_hour_on = impossible(Probe::Head, 3600.0, 85.0, Some(last));
        assert_eq!(an_hour_on, Some(Reason::Sentinel(85.0)), "it crept by a digit before");
    }
}
