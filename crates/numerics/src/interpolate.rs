//! Interpolation that keeps the shape of the data: cubic between points, monotone where they are.

/// Points that no curve can be laid through.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum InterpolateError {
    /// Fewer than two points, or as many `x` as not `y`.
    #[error("{xs} abscissas and {ys} ordinates: at least two of each are needed, and as many")]
    Lengths {
        /// How many `x` came.
        xs: usize,
        /// How many `y` came.
        ys: usize,
    },
    /// A point is not a number, or does not lie right of the one before.
    #[error("point {index} ({x}, {y}) is not finite or does not lie right of the one before")]
    Order {
        /// Which point, from 0.
        index: usize,
        /// Its abscissa.
        x: f64,
        /// Its ordinate.
        y: f64,
    },
}

/// A piecewise cubic with a continuous slope that never overshoots its points (Fritsch and
/// Carlson 1980; slopes at the points by the weighted harmonic mean of Fritsch and Butland 1984).
#[derive(Debug, Clone, PartialEq)]
pub struct MonotoneCubic {
    xs: Vec<f64>,
    ys: Vec<f64>,
    slopes: Vec<f64>,
}

impl MonotoneCubic {
    /// Lays the curve through points with rising `xs`.
    ///
    /// # Errors
    /// [`InterpolateError`] for fewer than two points, unequal lengths, or `xs` that do not rise.
    pub fn new(xs: &[f64], ys: &[f64]) -> Result<Self, InterpolateError> {
        if xs.len() != ys.len() || xs.len() < 2 {
            return Err(InterpolateError::Lengths { xs: xs.len(), ys: ys.len() });
        }
        for (index, (&x, &y)) in xs.iter().zip(ys).enumerate() {
            let rises = index == 0 || x > xs[index - 1];
            if !(x.is_finite() && y.is_finite() && rises) {
                return Err(InterpolateError::Order { index, x, y });
            }
        }
        Ok(Self { xs: xs.to_vec(), ys: ys.to_vec(), slopes: slopes(xs, ys) })
    }

    /// The curve at `x`; the value of the nearest end point outside the range.
    #[must_use]
    pub fn at(&self, x: f64) -> f64 {
        let last = self.xs.len() - 1;
        let x = x.clamp(self.xs[0], self.xs[last]);
        let i = self.xs.partition_point(|&knot| knot <= x).clamp(1, last) - 1;
        let h = self.xs[i + 1] - self.xs[i];
        let u = (x - self.xs[i]) / h;
        let rise = self.ys[i + 1] - self.ys[i];
        let (start, end) = (self.slopes[i] * h, self.slopes[i + 1] * h);
        let bend = start + end - 2.0 * rise;
        self.ys[i] + u * (start + u * (rise - start - bend + u * bend))
    }
}

fn slopes(xs: &[f64], ys: &[f64]) -> Vec<f64> {
    let n = xs.len();
    let h: Vec<f64> = xs.windows(2).map(|x| x[1] - x[0]).collect();
    let chord: Vec<f64> = ys.windows(2).zip(&h).map(|(y, h)| (y[1] - y[0]) / h).collect();
    if n == 2 {
        return vec![chord[0]; 2];
    }
    let mut slopes = vec![end_slope(h[0], h[1], chord[0], chord[1])];
    for i in 1..n - 1 {
        let (before, after) = (chord[i - 1], chord[i]);
        slopes.push(if before * after > 0.0 {
            let (w1, w2) = (2.0 * h[i] + h[i - 1], h[i] + 2.0 * h[i - 1]);
            (w1 + w2) / (w1 / before + w2 / after)
        } else {
            0.0
        });
    }
    slopes.push(end_slope(h[n - 2], h[n - 3], chord[n - 2], chord[n - 3]));
    slopes
}

/// Slope at an end by the parabola through three points, held back where it would overshoot.
fn end_slope(h_near: f64, h_next: f64, chord_near: f64, chord_next: f64) -> f64 {
    let slope = ((2.0 * h_near + h_next) * chord_near - h_near * chord_next) / (h_near + h_next);
    if slope * chord_near <= 0.0 {
        0.0
    } else if chord_near * chord_next < 0.0 && slope.abs() > 3.0 * chord_near.abs() {
        3.0 * chord_near
    } else {
        slope
    }
}

#[cfg(test)]
mod tests {
    use super::{InterpolateError, MonotoneCubic};

    /// The radiochemical data set RPN 14 of Fritsch and Carlson, SIAM J. Numer. Anal. 17 (1980)
    /// 238-246, table 1 (values from memory): on it a common spline swings below 0 and above 1.
    const RPN14_X: [f64; 9] = [7.99, 8.09, 8.19, 8.7, 9.2, 10.0, 12.0, 15.0, 20.0];
    const RPN14_Y: [f64; 9] =
        [0.0, 2.76429e-5, 4.37498e-2, 0.169183, 0.469428, 0.943740, 0.998636, 0.999919, 0.999994];

    #[test]
    fn val_rpn14_stays_monotone_and_meets_its_points() {
        let curve = MonotoneCubic::new(&RPN14_X, &RPN14_Y).unwrap();
        for (x, y) in RPN14_X.iter().zip(RPN14_Y) {
            assert!((curve.at(*x) - y).abs() < 1e-15);
        }
        let mut before = 0.0;
        for i in 0..=12_010 {
            let y = curve.at(7.99 + f64::from(i) * 1e-3);
            assert!(y >= before - 1e-15 && y <= 0.999994 + 1e-12, "{i}: {y}");
            before = y;
        }
        assert!(curve.at(0.0).abs() < 1e-15 && (curve.at(99.0) - 0.999994).abs() < 1e-15);
    }

    #[test]
    fn prop_straight_lines_are_kept_and_a_smooth_curve_is_met_to_third_order() {
        let xs = [0.0, 0.1, 0.5, 0.6, 2.0];
        let line = MonotoneCubic::new(&xs, &xs.map(|x| 3.0 - 2.0 * x)).unwrap();
        for x in [0.03, 0.3, 0.55, 1.9] {
            assert!((line.at(x) - 3.0 + 2.0 * x).abs() < 1e-14);
        }
        let worst = |n: i32| {
            let xs: Vec<f64> = (0..=n).map(|i| f64::from(i) / f64::from(n)).collect();
            let ys: Vec<f64> = xs.iter().map(|x| x.exp()).collect();
            let curve = MonotoneCubic::new(&xs, &ys).unwrap();
            (0..1000)
                .map(|i| f64::from(i) / 1000.0)
                .fold(0.0, |worst: f64, x| worst.max((curve.at(x) - x.exp()).abs()))
        };
        assert!(worst(20) < worst(10) / 6.0, "{} {}", worst(10), worst(20));
    }

    #[test]
    fn bad_points_are_named() {
        assert_eq!(
            MonotoneCubic::new(&[1.0], &[1.0]),
            Err(InterpolateError::Lengths { xs: 1, ys: 1 })
        );
        let twice = MonotoneCubic::new(&[0.0, 1.0, 1.0], &[0.0, 1.0, 2.0]);
        assert_eq!(twice, Err(InterpolateError::Order { index: 2, x: 1.0, y: 2.0 }));
        assert!(MonotoneCubic::new(&[0.0, 1.0], &[0.0, f64::NAN]).is_err());
    }
}
