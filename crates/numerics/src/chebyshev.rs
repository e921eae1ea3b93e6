//! A smooth function over an interval by the polynomial through its Chebyshev points: barycentric
//! (Berrut and Trefethen, SIAM Review 46 (2004) 501-517, section 5).

use std::f64::consts::PI;

/// The polynomial of degree `N - 1` through `N` Chebyshev points of the second kind, ends included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chebyshev<const N: usize> {
    points: [f64; N],
    values: [f64; N],
}

impl<const N: usize> Chebyshev<N> {
    /// The points in `[from, to]`, in rising order: where the function must be known.
    #[must_use]
    pub fn points(from: f64, to: f64) -> [f64; N] {
        const { assert!(N >= 2) };
        let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
        let mut points =
            std::array::from_fn(|j| middle - half * (PI * j as f64 / (N - 1) as f64).cos());
        (points[0], points[N - 1]) = (from, to);
        points
    }

    /// The polynomial through `values` at `points`, which [`Self::points`] gave.
    #[must_use]
    pub const fn through(points: [f64; N], values: [f64; N]) -> Self {
        Self { points, values }
    }

    /// The polynomial at `x`, best inside the interval.
    #[must_use]
    pub fn at(&self, x: f64) -> f64 {
        let (mut above, mut below) = (0.0, 0.0);
        for j in 0..N {
            let apart = x - self.points[j];
            if apart == 0.0 {
                return self.values[j];
            }
            let end = if j == 0 || j == N - 1 { 0.5 } else { 1.0 };
            let weight = if j % 2 == 0 { end } else { -end } / apart;
            above += weight * self.values[j];
            below += weight;
        }
        above / below
    }
}

#[cfg(test)]
mod tests {
    use super::Chebyshev;

    fn through<const N: usize>(from: f64, to: f64, f: impl Fn(f64) -> f64) -> Chebyshev<N> {
        let points = Chebyshev::<N>::points(from, to);
        Chebyshev::through(points, points.map(f))
    }

    #[test]
    fn prop_a_polynomial_of_its_degree_is_met_everywhere() {
        let quintic = |x: f64| 3.0 - x + 0.5 * x.powi(3) - 0.25 * x.powi(5);
        let curve = through::<6>(-1.5, 2.0, quintic);
        for i in 0..=100 {
            let x = -1.5 + 0.035 * f64::from(i);
            // The last bits of terms up to 8.
            assert!((curve.at(x) - quintic(x)).abs() < 1e-13, "{x}");
        }
    }

    #[test]
    fn prop_a_smooth_function_is_met_within_the_bound_of_its_next_derivative() {
        // |f - p| <= max |f^(N)| (h / 2)^N / (2^(N - 2) N!) at these points: h = 2, N = 6, f = exp.
        let curve = through::<6>(-1.0, 1.0, f64::exp);
        let bound = 1.0_f64.exp() / (16.0 * 720.0);
        let worst = (0..=1000).map(|i| -1.0 + 0.002 * f64::from(i));
        let worst = worst.fold(0.0, |worst: f64, x| worst.max((curve.at(x) - x.exp()).abs()));
        assert!(worst < bound && worst > 0.01 * bound, "{worst:e} against {bound:e}");
    }

    #[test]
    fn the_points_are_met_to_the_bit_and_hold_the_ends() {
        let points = Chebyshev::<5>::points(100.0, 700.0);
        assert_eq!((points[0], points[4]), (100.0, 700.0));
        assert!(points.is_sorted());
        let curve = Chebyshev::through(points, [1.0, 4.0, 2.0, 8.0, 5.0]);
        assert_eq!(points.map(|x| curve.at(x)), [1.0, 4.0, 2.0, 8.0, 5.0]);
    }
}
