//! What no reading can be: no number, the sign of a broken probe, out of what there can be.

use crate::probe::Probe;
use crate::quality::Reason;

/// Values that broken probes send: power-on value and lost probe of a common digital sensor family.
const SENTINELS: [f64; 2] = [85.0, -127.0];
/// A sentinel this near the last good reading is a temperature, K (judgement).
const NEAR_K: f64 = 1.5;

/// Whether a value is one that broken probes send.
pub(crate) fn is_sentinel(probe: Probe, value: f64) -> bool {
    probe.is_thermometer() && SENTINELS.iter().any(|sentinel| (sentinel - value).abs() < 1e-9)
}

/// Why a value cannot be true, where it cannot; `before` is the last good one.
#[must_use]
pub fn impossible(probe: Probe, value: f64, before: Option<f64>) -> Option<Reason> {
    if !value.is_finite() {
        return Some(Reason::NotANumber);
    }
    let sentinel = is_sentinel(probe, value);
    let (low, high) = probe.possible();
    if sentinel && before.is_none_or(|before| (before - value).abs() > NEAR_K) {
        Some(Reason::Sentinel(value))
    } else if value < low || value > high {
        Some(Reason::OutOfRange(value))
    } else {
        None
    }
}
