//! What a take-off timed into a jug is of: the setting that stands, or the one before it.

use still::plan::TakeOff;

/// Nobody times a rate that was set less than this ago, s; judgement: a jug is held under for a
/// minute, and what was timed before the valve was turned is often written down after it.
const TIMING_S: f64 = 60.0;

/// A valve as it was turned: when, from what, to what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValveTurn {
    /// Run time, s.
    pub time_s: f64,
    /// What ran before.
    pub before: TakeOff,
    /// What was set.
    pub set: TakeOff,
}

impl ValveTurn {
    /// Whether a rate timed at `time_s` is of what ran before: the valve was turned too short a
    /// time ago, and the rate is nearer to the old setting than to the new one.
    #[must_use]
    pub fn is_of_before(&self, time_s: f64, timed: TakeOff) -> bool {
        let (TakeOff::MlPerMin(timed), TakeOff::MlPerMin(before), TakeOff::MlPerMin(set)) =
            (timed, self.before, self.set)
        else {
            return false;
        };
        let off = |from: f64| (timed / from).ln().abs();
        let soon = (0.0..TIMING_S).contains(&(time_s - self.time_s));
        soon && before > 0.0 && set > 0.0 && timed > 0.0 && off(before) < off(set)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TURN: ValveTurn =
        ValveTurn { time_s: 1000.0, before: TakeOff::MlPerMin(83.0), set: TakeOff::MlPerMin(43.0) };

    #[test]
    fn a_rate_timed_before_the_valve_was_turned_is_of_the_old_setting() {
        assert!(TURN.is_of_before(1015.0, TakeOff::MlPerMin(78.7)));
        assert!(!TURN.is_of_before(1015.0, TakeOff::MlPerMin(45.0)), "it is the new rate");
        assert!(!TURN.is_of_before(1060.0, TakeOff::MlPerMin(78.7)), "there was time to time it");
        assert!(!TURN.is_of_before(990.0, TakeOff::MlPerMin(78.7)), "it was timed before");
    }

    #[test]
    fn without_two_rates_nothing_is_told() {
        let opened = ValveTurn { before: TakeOff::Closed, ..TURN };
        assert!(!opened.is_of_before(1015.0, TakeOff::MlPerMin(78.7)));
        let ratio = ValveTurn { set: TakeOff::RefluxRatio(3.0), ..TURN };
        assert!(!ratio.is_of_before(1015.0, TakeOff::MlPerMin(78.7)));
    }
}
