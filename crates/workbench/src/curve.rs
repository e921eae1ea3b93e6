//! A whole forecast distribution from five quantiles, and how far it was from what came.

use std::sync::LazyLock;

use quantities::Band;
use statrs::distribution::{ContinuousCDF, Normal};

static NORMAL: LazyLock<Normal> = LazyLock::new(Normal::standard);

/// How many quantiles of the curve are scored.
const GRID: usize = 400;

/// Normal scores of the five levels.
static LEVEL_SCORES: LazyLock<[f64; 5]> =
    LazyLock::new(|| Band::LEVELS.map(|level| NORMAL.inverse_cdf(level)));

/// Probabilities and normal scores of the grid.
static GRID_SCORES: LazyLock<Vec<(f64, f64)>> = LazyLock::new(|| {
    let level = |i: usize| (i as f64 + 0.5) / GRID as f64;
    (0..GRID).map(|i| (level(i), NORMAL.inverse_cdf(level(i)))).collect()
});

/// The value at normal score `z`: linear between the five, the outer slopes carried on.
fn value_at(five: &[f64; 5], z: f64) -> f64 {
    let scores = &*LEVEL_SCORES;
    let part = (1..4).filter(|&k| z > scores[k]).count();
    let slope = (five[part + 1] - five[part]) / (scores[part + 1] - scores[part]);
    five[part] + slope * (z - scores[part])
}

/// Continuous ranked probability score, in the unit of the value: twice the mean pinball loss.
///
/// 0 is best; a forecast that is a point scores its absolute error.
#[must_use]
pub fn crps(forecast: &Band, observed: f64) -> f64 {
    let five = forecast.to_array();
    let loss = GRID_SCORES.iter().map(|&(level, z)| {
        let value = value_at(&five, z);
        (observed - value) * if observed >= value { level } else { level - 1.0 }
    });
    2.0 * loss.sum::<f64>() / GRID as f64
}

/// Where `observed` lies in the forecast: the probability that was given to less, 0 to 1.
#[must_use]
pub fn place(forecast: &Band, observed: f64) -> f64 {
    let five = forecast.to_array();
    let scores = &*LEVEL_SCORES;
    let part = (1..4).filter(|&k| observed > five[k]).count();
    let step = five[part + 1] - five[part];
    if step <= 0.0 {
        return if observed > five[part] {
            1.0
        } else {
            f64::from(u8::from(observed == five[part])) * 0.5
        };
    }
    let slope = (scores[part + 1] - scores[part]) / step;
    NORMAL.cdf(scores[part] + slope * (observed - five[part]))
}
