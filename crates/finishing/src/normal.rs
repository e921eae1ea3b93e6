//! The normal distribution: the chance of a value below another.

/// Beyond so many deviations the chance is 0 or 1 to every digit of a number.
const FAR: f64 = 8.0;
/// Most terms of the series; 8 deviations need about 120.
const TERMS_MAX: usize = 400;

/// Chance that a standard normal value lies below `score`.
///
/// By the series `1/2 + phi(x) (x + x^3/3 + x^5/15 + ...)`, source: Marsaglia, J. Stat. Softw. 11
/// (2004) no. 4.
#[must_use]
pub fn below(score: f64) -> f64 {
    if score <= -FAR {
        return 0.0;
    }
    if score >= FAR {
        return 1.0;
    }
    let (mut term, mut sum) = (score, score);
    for k in 1..TERMS_MAX {
        term *= score * score / (2 * k + 1) as f64;
        let next = sum + term;
        if next == sum {
            break;
        }
        sum = next;
    }
    let density = (-0.5 * score * score).exp() / std::f64::consts::TAU.sqrt();
    (0.5 + density * sum).clamp(0.0, 1.0)
}

/// Chance that a value of this mean and deviation lies from `low` to `high`.
#[must_use]
pub fn within(mean: f64, sd: f64, low: f64, high: f64) -> f64 {
    if sd <= 0.0 {
        return if mean >= low && mean <= high { 1.0 } else { 0.0 };
    }
    (below((high - mean) / sd) - below((low - mean) / sd)).clamp(0.0, 1.0)
}

/// Scores at equal steps with their weights, which sum to 1: to average over a normal value.
pub(crate) fn grid() -> impl Iterator<Item = (f64, f64)> {
    const HALF: i32 = 40;
    const STEP: f64 = 0.125;
    let weigh = |k: i32| {
        let x = STEP * f64::from(k);
        (x, (-0.5 * x * x).exp())
    };
    let all: f64 = (-HALF..=HALF).map(|k| weigh(k).1).sum();
    (-HALF..=HALF).map(move |k| {
        let (x, weight) = weigh(k);
        (x, weight / all)
    })
}

#[cfg(test)]
mod tests {
    use super::{below, grid, within};

    #[test]
    fn val_chances_of_the_normal_table() {
        // Standard normal table, any handbook of statistics.
        for (score, chance) in [
            (0.0, 0.5),
            (1.0, 0.841_344_746_068_543),
            (1.959_963_984_540_054, 0.975),
            (-2.326_347_874_040_841, 0.01),
            (4.0, 0.999_968_328_758_167),
        ] {
            assert!((below(score) - chance).abs() < 1e-12, "{score}: {}", below(score));
        }
        assert_eq!((below(-9.0), below(9.0)), (0.0, 1.0));
        assert!((within(0.0, 2.0, -2.0, 2.0) - 0.682_689_492_137_086).abs() < 1e-12);
        assert_eq!((within(1.0, 0.0, 0.0, 1.0), within(1.1, 0.0, 0.0, 1.0)), (1.0, 0.0));
        let second: f64 = grid().map(|(x, w)| w * x * x).sum();
        assert!((second - 1.0).abs() < 1e-4, "{second}");
    }
}
