//! Run time: seconds since the heater went on, the only clock the core knows.

use crate::check::{quantity, reckoned};

quantity! {
    /// Seconds of run time; a run lasts at most a fortnight.
    RunTime, "run time", "s", from_seconds, seconds, 0.0, RunTime::SECONDS_MAX as f64
}
reckoned!(RunTime, "seconds", nearest_seconds);

impl RunTime {
    /// Heater on.
    pub const START: Self = Self(0.0);
    /// The last whole second that a run can have: a fortnight.
    pub const SECONDS_MAX: u64 = 1_209_600;

    /// A whole second of a run, at most the last it can have.
    #[must_use]
    pub const fn of_second(second: u64) -> Self {
        Self::nearest_seconds(second as f64)
    }
}

#[cfg(test)]
mod tests {
    use super::RunTime;

    #[test]
    fn prop_the_nearest_run_time_is_itself_or_a_bound() {
        let bits = |seconds: f64| RunTime::nearest_seconds(seconds).seconds().to_bits();
        for seconds in [0.0, 1.0 / 3.0, 86_399.999_999, RunTime::HIGH] {
            assert_eq!(bits(seconds), seconds.to_bits());
        }
        for seconds in [-1.0, f64::NAN, f64::NEG_INFINITY] {
            assert_eq!(RunTime::nearest_seconds(seconds), RunTime::START);
        }
        assert_eq!(bits(f64::INFINITY), RunTime::HIGH.to_bits());
        assert_eq!(RunTime::of_second(u64::MAX).seconds().to_bits(), RunTime::HIGH.to_bits());
    }
}
