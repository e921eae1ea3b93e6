//! Where the rates say that the heater gives less from some moment on, without a meter that says so.
//!
//! A moment splits the rates that were measured: those before it lie over the sound fit, which goes
//! through the middle of all, those after it under it.

use super::believe::HEATER;
use super::fit::Fit;
use super::measured::Measured;
use super::model::{Model, Unknowns};
use super::past::Weakened;

/// So many rates, at least, before and after the moment (judgement: one jar may be misread).
const SIDE_LEAST: usize = 2;
/// A smaller step down is none, ln (judgement: the mains wander by a few per cent).
const STEP_LEAST: f64 = 0.06;
/// A rate further off than this counts as if it were this far, ln (judgement: a misread jar).
const OFF_MOST: f64 = 0.7;

/// A loss of power that the rates speak for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Found {
    pub(super) weakened: Weakened,
    /// Power after it over power before, ln.
    pub(super) step: f64,
    /// By how much half the sum of squares falls, at most.
    pub(super) gain: f64,
    /// How many moments there were to choose from.
    pub(super) moments: usize,
}

/// One rate: when it began, ln of measured over simulated, weight.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Rate {
    from_s: f64,
    off: f64,
    weight: f64,
}

/// The moment that explains most, where the power was not metered and there are rates.
pub(super) fn found(model: &Model<'_>, measured: &Measured, sound: &Fit) -> Option<Found> {
    if model.inputs.metered {
        return None;
    }
    let unknowns: Unknowns = super::problem::unknowns(model.beliefs, &sound.z);
    let mut rates: Vec<Rate> = measured
        .rates(&sound.best, &unknowns)
        .map(|(from_s, off, sd)| Rate {
            from_s,
            off: off.clamp(-OFF_MOST, OFF_MOST),
            weight: 1.0 / (sd * sd),
        })
        .collect();
    rates.sort_by(|a, b| a.from_s.total_cmp(&b.from_s));
    let best = best_split(&rates)?;
    let weakened = Weakened { before: unknowns[HEATER] + best.weakened.before, ..best.weakened };
    Some(Found { weakened, ..best })
}

/// The split with the largest step down for its doubt; `before` is over the sound fit here.
fn best_split(rates: &[Rate]) -> Option<Found> {
    let mean = |rates: &[Rate]| {
        let weight: f64 = rates.iter().map(|rate| rate.weight).sum();
        (rates.iter().map(|rate| rate.weight * rate.off).sum::<f64>() / weight, weight)
    };
    let places = SIDE_LEAST..(rates.len() + 1).saturating_sub(SIDE_LEAST);
    let moments = places.len();
    let split = |place: usize| {
        let ((before, heavy), (after, light)) = (mean(&rates[..place]), mean(&rates[place..]));
        let step = after - before;
        let gain = 0.5 * step * step / (1.0 / heavy + 1.0 / light);
        let weakened = Weakened { from_s: rates[place].from_s, before };
        (step <= -STEP_LEAST).then_some(Found { weakened, step, gain, moments })
    };
    places.filter_map(split).max_by(|a, b| a.gain.total_cmp(&b.gain))
}

#[cfg(test)]
mod tests {
    use super::{Rate, best_split};

    fn rates(off: impl Fn(u32) -> f64) -> Vec<Rate> {
        (0..10)
            .map(|k| Rate { from_s: f64::from(600 * k), off: off(k), weight: 1.0 / (0.04 * 0.04) })
            .collect()
    }

    #[test]
    fn a_step_down_is_found_where_it_is_and_as_large_as_it_is() {
        let found = best_split(&rates(|k| if k < 6 { 0.1 } else { -0.15 })).expect("a step");
        assert_eq!((found.weakened.from_s, found.weakened.before), (3600.0, 0.1));
        assert!((found.step + 0.25).abs() < 1e-12, "{found:?}");
        // 0.5 x 0.25² / (0.04² x (1 / 6 + 1 / 4)) by hand.
        assert!((found.gain - 46.875).abs() < 1e-9, "{found:?}");
        assert_eq!(found.moments, 7);
    }

    #[test]
    fn a_step_up_one_jar_or_the_mains_is_no_loss_of_power() {
        assert_eq!(best_split(&rates(|k| if k < 6 { -0.1 } else { 0.1 })), None);
        assert_eq!(best_split(&rates(|k| if k % 2 == 0 { 0.02 } else { -0.02 })), None);
        assert_eq!(best_split(&rates(|_| 0.0)[..3]), None, "too few to tell");
        assert_eq!(best_split(&[]), None);
    }
}
