//! What the runs tell of each value: bands, how much surer than before, what goes with what.

use nalgebra::DMatrix;

use super::outcome::{FittedCharge, Spread, Value};
use super::unknowns::{Belief, Beliefs, OWN, PLACES, SHARED};

/// Standard deviations to the ends of an 80 % band (definition).
const SD_OF_80: f64 = 1.281_552;
/// Spread left, as a share of that before, up to which the runs tell a value (judgement).
const TOLD: f64 = 0.6;
/// No value is told better than this, ln or share: the model is not truer (judgement).
const LEAST_LN: f64 = 0.05;
const LEAST_SHARE: f64 = 0.01;
/// Correlation from which on two values cannot be told apart (judgement).
const TOGETHER: f64 = 0.8;
/// Correlation below which a value goes with none (judgement).
const WITH: f64 = 0.3;

fn spread(belief: &Belief, z: f64, sd: f64) -> Spread {
    let at = |z: f64| belief.value(z.clamp(belief.low, belief.high));
    Spread { p10: at(z - SD_OF_80 * sd), p50: at(z), p90: at(z + SD_OF_80 * sd) }
}

fn correlation(covariance: &DMatrix<f64>, a: usize, b: usize) -> f64 {
    let product = covariance[(a, a)] * covariance[(b, b)];
    covariance[(a, b)] / product.max(1e-300).sqrt()
}

/// A shared value as the still states it: the common strength as a factor.
fn shown(place: usize, spread: Spread) -> Spread {
    if place + 1 < SHARED {
        return spread;
    }
    Spread { p10: spread.p10.exp(), p50: spread.p50.exp(), p90: spread.p90.exp() }
}

/// The shared values.
pub(super) fn values(beliefs: &Beliefs, z: &[f64], covariance: &DMatrix<f64>) -> Vec<Value> {
    let value = |place: usize| {
        let belief = beliefs.shared(place);
        let least = if belief.ln { LEAST_LN } else { LEAST_SHARE } / belief.sd;
        let sd = covariance[(place, place)].max(0.0).sqrt().max(least.min(1.0));
        let others = (0..SHARED).filter(|other| *other != place);
        let with = others.map(|other| (PLACES[other], correlation(covariance, place, other)));
        let strongest = with.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        Value {
            of: PLACES[place],
            value: shown(place, spread(belief, z[place], sd)),
            prior: shown(place, spread(belief, 0.0, 1.0)),
            spread_left: sd.min(1.0),
            told: sd <= TOLD,
            goes_with: strongest.filter(|(_, with)| with.abs() >= WITH),
        }
    };
    (0..SHARED).filter(|place| beliefs.has(*place)).map(value).collect()
}

/// Pairs that cannot be told apart.
pub(super) fn not_apart(
    covariance: &DMatrix<f64>,
) -> Vec<(super::outcome::Parameter, super::outcome::Parameter, f64)> {
    let mut pairs = Vec::new();
    for a in 0..SHARED {
        for b in a + 1..SHARED {
            let with = correlation(covariance, a, b);
            if with.abs() >= TOGETHER {
                pairs.push((PLACES[a], PLACES[b], with));
            }
        }
    }
    pairs
}

/// A run's charge: litres and strength with their bands.
pub(super) fn charge(
    beliefs: &Beliefs,
    z: &[f64],
    covariance: &DMatrix<f64>,
    run: usize,
    stated: (f64, f64),
) -> FittedCharge {
    let (litres, strength) = beliefs.charge(z, run);
    let own = SHARED + OWN * run;
    let sds = beliefs.charge_sds(run);
    let litres_sd = sds.0 * covariance[(own, own)].max(0.0).sqrt();
    let (common, alone) = (SHARED - 1, own + 1);
    let variance = sds.1.powi(2) * covariance[(common, common)]
        + sds.2.powi(2) * covariance[(alone, alone)]
        + 2.0 * sds.1 * sds.2 * covariance[(common, alone)];
    let band = |middle: f64, sd: f64| Spread {
        p10: middle * (-SD_OF_80 * sd).exp(),
        p50: middle,
        p90: middle * (SD_OF_80 * sd).exp(),
    };
    FittedCharge {
        litres: band(stated.0 * litres, litres_sd),
        strength_vol: band(stated.1 * strength, variance.max(0.0).sqrt()),
    }
}
