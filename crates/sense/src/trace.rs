//! The last half hour of one channel, thinned and bounded.

use std::collections::VecDeque;

use crate::numbers::{median, slope};

/// How far back a trace reaches, s.
const SPAN_S: f64 = 1800.0;
/// Least time between two kept samples, s.
const SPACING_S: f64 = 2.0;

/// A short memory of `(time, value)`.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Trace {
    samples: VecDeque<(f64, f64)>,
}

impl Trace {
    /// Adds a sample; one that is out of order or too close to the last is left out.
    pub fn push(&mut self, time_s: f64, value: f64) {
        if self.samples.back().is_some_and(|last| time_s < last.0 + SPACING_S) {
            return;
        }
        self.samples.push_back((time_s, value));
        while self.samples.front().is_some_and(|first| first.0 < time_s - SPAN_S) {
            self.samples.pop_front();
        }
    }

    /// Samples from `from_s` to `to_s`, both ends in.
    fn window(&self, from_s: f64, to_s: f64) -> Vec<(f64, f64)> {
        let tail = self.samples.iter().rev().take_while(|sample| sample.0 >= from_s);
        tail.filter(|sample| sample.0 <= to_s).copied().collect()
    }

    /// Median of the samples from `from_s` to `to_s`.
    #[must_use]
    pub fn median(&self, from_s: f64, to_s: f64) -> Option<f64> {
        let mut values: Vec<f64> =
            self.window(from_s, to_s).iter().map(|sample| sample.1).collect();
        median(&mut values)
    }

    /// Median of the last minute, or of the last three samples where they are further apart.
    #[must_use]
    pub fn present(&self) -> Option<f64> {
        let last = self.samples.back()?.0;
        let third = self.samples.iter().rev().nth(2).map_or(last, |sample| sample.0);
        self.median((last - 60.0).min(third.max(last - 200.0)), last)
    }

    /// Slope over the last `span_s`, per second; none where the samples do not reach back at least
    /// nine tenths of it or are fewer than eight.
    #[must_use]
    pub fn slope_per_s(&self, now_s: f64, span_s: f64) -> Option<f64> {
        let window = self.window(now_s - span_s, now_s);
        let reach = now_s - window.last()?.0;
        if window.len() < 8 || reach < 0.9 * span_s {
            return None;
        }
        slope(&window)
    }

    /// The last sample.
    #[must_use]
    pub fn last(&self) -> Option<(f64, f64)> {
        self.samples.back().copied()
    }
}

#[cfg(test)]
mod tests {
    use super::Trace;

    #[test]
    fn prop_memory_is_bounded_and_the_slope_is_that_of_the_line() {
        let mut trace = Trace::default();
        for second in 0..100_000 {
            trace.push(f64::from(second), 1e-3 * f64::from(second));
        }
        assert!(trace.samples.len() <= 901);
        assert!((trace.slope_per_s(99_999.0, 600.0).unwrap() - 1e-3).abs() < 1e-9);
        assert!((trace.median(99_900.0, 99_999.0).unwrap() - 99.95).abs() < 0.01);
        assert!(trace.slope_per_s(110_000.0, 600.0).is_none());
    }
}
