//! What a calibration lets an estimate believe of a still whose plan states the calibrated values:
//! each as stated, within its doubt.

use super::outcome::{Parameter, Spread};
use crate::character::{Belief, Character, Trait};
use quantities::Band;

/// Standard deviations between the ends of an 80 % band (definition).
const SDS_OF_80: f64 = Band::SCORES[3] - Band::SCORES[1];
/// Least value whose logarithm is taken.
const LEAST: f64 = 1e-6;

/// The beliefs of such a still; it rests on no run that was learned from.
#[must_use]
pub fn believed(values: impl IntoIterator<Item = (Parameter, Spread)>) -> Character {
    let belief = |(of, value): (Parameter, Spread)| {
        let as_stated = |of: Trait| {
            let ln = |value: f64| value.max(LEAST).ln();
            Belief { of, mean: 0.0, sd: (ln(value.p90) - ln(value.p10)) / SDS_OF_80 }
        };
        match of {
            Parameter::ColumnLoss => Some(as_stated(Trait::ColumnLoss)),
            Parameter::BoilerLoss => Some(as_stated(Trait::HeatLoss)),
            Parameter::Efficiency => Some(as_stated(Trait::Separation)),
            Parameter::HoldUp => Some(as_stated(Trait::HoldUp)),
            Parameter::VapourLost => {
                let kept = (1.0 - value.p50).max(LEAST);
                let sd = (value.p90 - value.p10) / SDS_OF_80 / kept;
                Some(Belief { of: Trait::VapourLost, mean: kept.ln(), sd })
            }
            // A fault of how this person gauges, not of the still.
            Parameter::ChargeStrength => None,
        }
    };
    let beliefs = values.into_iter().filter_map(belief).filter(|belief| belief.sd > 0.0).collect();
    Character { beliefs, history: Vec::new() }
}

#[cfg(test)]
mod tests {
    use super::{Parameter, Spread, Trait, believed};

    #[test]
    fn a_calibrated_still_is_as_stated_within_its_doubt() {
        let known = believed([
            (Parameter::ColumnLoss, Spread { p10: 3.29, p50: 3.70, p90: 4.17 }),
            (Parameter::VapourLost, Spread { p10: 0.05, p50: 0.10, p90: 0.15 }),
            (Parameter::ChargeStrength, Spread { p10: 0.96, p50: 0.99, p90: 1.03 }),
        ]);
        let column = known.belief(Trait::ColumnLoss).unwrap();
        assert!(column.mean.abs() < 1e-12 && (column.sd - 0.0925).abs() < 1e-3, "{column:?}");
        let kept = known.belief(Trait::VapourLost).unwrap();
        assert!((kept.mean.exp() - 0.9).abs() < 1e-12 && (kept.sd - 0.0433).abs() < 1e-3);
        assert_eq!((known.beliefs.len(), known.runs()), (2, 0));
    }
}
