//! How uncertain an answer is when its readings are: first-order propagation of independent
//! standard deviations (the law of propagation of uncertainty, JCGM 100:2008, 5.1.2).

/// A reading with its standard deviation and the range it cannot leave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// What was read.
    pub value: f64,
    /// Its standard deviation, same unit; 0 for exact.
    pub sd: f64,
    /// Lowest value that has a meaning.
    pub low: f64,
    /// Highest value that has a meaning.
    pub high: f64,
}

/// The differences are taken over this share of a standard deviation to either side: small against
/// the curvature of any formula here, large against rounding.
const STEP_PER_SD: f64 = 0.1;

/// Standard deviations of the answers `f` gives from those of the readings.
///
/// Each derivative is a difference over a tenth of a standard deviation to either side, to one
/// side where the other has no answer or leaves the range.
///
/// # Errors
/// The error of `f` at the readings themselves.
pub fn propagate<const ANSWERS: usize, E>(
    readings: &[Reading],
    f: impl Fn(&[f64]) -> Result<[f64; ANSWERS], E>,
) -> Result<[f64; ANSWERS], E> {
    let mut values: Vec<f64> = readings.iter().map(|reading| reading.value).collect();
    let centre = f(&values)?;
    let mut variances = [0.0; ANSWERS];
    for (i, reading) in readings.iter().enumerate() {
        if reading.sd <= 0.0 {
            continue;
        }
        let mut side = |step: f64| {
            let moved = (reading.value + step).clamp(reading.low, reading.high);
            values[i] = moved;
            let answer = f(&values).map_or((reading.value, centre), |answer| (moved, answer));
            values[i] = reading.value;
            answer
        };
        let (below, at_below) = side(-STEP_PER_SD * reading.sd);
        let (above, at_above) = side(STEP_PER_SD * reading.sd);
        let width = above - below;
        if width <= 0.0 {
            continue;
        }
        for (variance, (high, low)) in variances.iter_mut().zip(at_above.iter().zip(at_below)) {
            *variance += ((high - low) / width * reading.sd).powi(2);
        }
    }
    Ok(variances.map(f64::sqrt))
}

#[cfg(test)]
mod tests {
    use super::{Reading, propagate};

    fn reading(value: f64, sd: f64) -> Reading {
        Reading { value, sd, low: 0.0, high: 100.0 }
    }

    #[test]
    fn prop_products_and_sums_follow_the_law_of_propagation() {
        // JCGM 100:2008, 5.1.6: relative variances of a product add; variances of a sum add.
        let f = |x: &[f64]| Ok::<_, ()>([x[0] * x[1], x[0] + x[1]]);
        let [product, sum] = propagate(&[reading(20.0, 0.3), reading(5.0, 0.4)], f).unwrap();
        let relative = f64::hypot(0.3 / 20.0, 0.4 / 5.0);
        assert!((product - 100.0 * relative).abs() < 1e-9);
        assert!((sum - 0.5).abs() < 1e-9);
    }

    #[test]
    fn an_end_of_the_range_takes_the_difference_to_one_side() {
        let f = |x: &[f64]| if x[0] <= 50.0 { Ok([3.0 * x[0]]) } else { Err("too much") };
        let [at_end] = propagate(&[reading(50.0, 0.1)], f).unwrap();
        let [at_zero] = propagate(&[reading(0.0, 0.1)], f).unwrap();
        assert!((at_end - 0.3).abs() < 1e-9 && (at_zero - 0.3).abs() < 1e-9);
        assert_eq!(propagate(&[reading(51.0, 0.1)], f), Err("too much"));
        assert_eq!(propagate(&[reading(5.0, 0.0)], f), Ok([0.0]));
    }
}
