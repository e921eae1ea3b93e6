//! Bracketed root finding with a bound on every loop: Brent's method, and Newton kept in a bracket.

/// How close and how long to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Search {
    /// The root is known when it lies within this of the answer (same unit as `x`).
    pub x_tolerance: f64,
    /// Most evaluations of the function after the two ends of the bracket.
    pub iterations_max: u32,
}

impl Search {
    /// 100 iterations down to `x_tolerance`: bisection alone would gain thirty decimal places.
    #[must_use]
    pub const fn to(x_tolerance: f64) -> Self {
        Self { x_tolerance, iterations_max: 100 }
    }
}

/// A root and the work it took.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Root {
    /// Where the function vanishes, within the tolerance.
    pub x: f64,
    /// The function at the last point looked at.
    pub residual: f64,
    /// Evaluations after the two ends of the bracket.
    pub iterations: u32,
}

/// Why there is no root to give.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum RootError {
    /// The function has the same sign (or no number) at both ends.
    #[error("no sign change from {low} ({at_low}) to {high} ({at_high})")]
    NotBracketed {
        /// Lower end of the bracket.
        low: f64,
        /// Upper end of the bracket.
        high: f64,
        /// The function at the lower end.
        at_low: f64,
        /// The function at the upper end.
        at_high: f64,
    },
    /// The bound on iterations was reached first.
    #[error("no root after {iterations} iterations: residual {residual}, bracket {low} to {high}")]
    NotConverged {
        /// Evaluations made.
        iterations: u32,
        /// The function at the last point.
        residual: f64,
        /// Lower end of the bracket left.
        low: f64,
        /// Upper end of the bracket left.
        high: f64,
    },
    /// The function gave NaN or an infinity inside the bracket.
    #[error(
        "the function is {residual} at {x} after {iterations} iterations, bracket {low} to {high}"
    )]
    NotFinite {
        /// Where it happened.
        x: f64,
        /// What the function gave.
        residual: f64,
        /// Evaluations made.
        iterations: u32,
        /// Lower end of the bracket left.
        low: f64,
        /// Upper end of the bracket left.
        high: f64,
    },
}

/// The shrinking bracket both methods share.
struct Bracket {
    low: f64,
    high: f64,
    rising: bool,
}

impl Bracket {
    fn new(low: f64, high: f64, at_low: f64, at_high: f64) -> Result<Self, RootError> {
        let signs_differ = (at_low <= 0.0 && at_high >= 0.0) || (at_low >= 0.0 && at_high <= 0.0);
        if !(signs_differ && low <= high && at_low.is_finite() && at_high.is_finite()) {
            return Err(RootError::NotBracketed { low, high, at_low, at_high });
        }
        Ok(Self { low, high, rising: at_high > at_low })
    }

    /// Keeps the half in which the sign changes.
    fn narrow(&mut self, x: f64, value: f64) {
        if (value < 0.0) == self.rising {
            self.low = x;
        } else {
            self.high = x;
        }
    }

    fn check(&self, x: f64, residual: f64, iterations: u32) -> Result<(), RootError> {
        if residual.is_finite() {
            return Ok(());
        }
        Err(RootError::NotFinite { x, residual, iterations, low: self.low, high: self.high })
    }

    fn gave_up(&self, residual: f64, iterations: u32) -> RootError {
        RootError::NotConverged { iterations, residual, low: self.low, high: self.high }
    }
}

/// Root of `f` between `low` and `high`, where `f` must change sign, after Brent (1973): inverse
/// quadratic or secant steps where they gain, bisection where they do not.
///
/// # Errors
/// [`RootError`] without a sign change, for a value that is no number, or at the iteration bound.
pub fn brent(
    mut f: impl FnMut(f64) -> f64,
    low: f64,
    high: f64,
    search: Search,
) -> Result<Root, RootError> {
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (f(a), f(b));
    let mut bracket = Bracket::new(low, high, fa, fb)?;
    let (mut c, mut fc) = (a, fa);
    let mut step = b - a;
    let mut step_before = step;
    for iterations in 0..=search.iterations_max {
        if (fb > 0.0) == (fc > 0.0) {
            // The sign change lies between the newest two points: the counterpoint is the older.
            (c, fc) = (a, fa);
            step = b - a;
            step_before = step;
        }
        if fc.abs() < fb.abs() {
            (a, b, c) = (b, c, b);
            (fa, fb, fc) = (fb, fc, fb);
        }
        let tolerance = 2.0 * f64::EPSILON * b.abs() + 0.5 * search.x_tolerance;
        let half = 0.5 * (c - b);
        if half.abs() <= tolerance || fb.abs() < f64::MIN_POSITIVE {
            return Ok(Root { x: b, residual: fb, iterations });
        }
        if iterations == search.iterations_max {
            break;
        }
        match interpolated_step([a, b, c], [fa, fb, fc], half) {
            Some(s)
                if step_before.abs() >= tolerance
                    && fa.abs() > fb.abs()
                    && 2.0 * s.abs() < (3.0 * half.abs() - tolerance).min(step_before.abs()) =>
            {
                step_before = step;
                step = s;
            }
            _ => {
                step = half;
                step_before = half;
            }
        }
        (a, fa) = (b, fb);
        b += if step.abs() > tolerance { step } else { tolerance.copysign(half) };
        fb = f(b);
        bracket.check(b, fb, iterations + 1)?;
        bracket.narrow(b, fb);
    }
    Err(bracket.gave_up(fb, search.iterations_max))
}

/// The step from `b` by inverse quadratic interpolation (by the secant where `a` is `c`), if it
/// points towards `c`.
fn interpolated_step(x: [f64; 3], f: [f64; 3], half: f64) -> Option<f64> {
    let [a, b, c] = x;
    let [fa, fb, fc] = f;
    let s = fb / fa;
    let (p, q) = if (a - c).abs() < f64::MIN_POSITIVE {
        (2.0 * half * s, 1.0 - s)
    } else {
        let (q, r) = (fa / fc, fb / fc);
        (s * (2.0 * half * q * (q - r) - (b - a) * (r - 1.0)), (q - 1.0) * (r - 1.0) * (s - 1.0))
    };
    let step = -p / q;
    (step.is_finite() && step * half > 0.0).then_some(step)
}

/// Root of a function given with its derivative: Newton steps from `seed`, replaced by bisection
/// where they leave the bracket or do not halve it fast enough.
///
/// # Errors
/// [`RootError`] without a sign change, for a value that is no number, or at the iteration bound.
pub fn newton(
    mut f: impl FnMut(f64) -> (f64, f64),
    low: f64,
    high: f64,
    seed: f64,
    search: Search,
) -> Result<Root, RootError> {
    let mut bracket = Bracket::new(low, high, f(low).0, f(high).0)?;
    let mut x = seed.clamp(low, high);
    let mut residual = f64::NAN;
    let mut move_before = high - low;
    for iterations in 1..=search.iterations_max {
        let (value, slope) = f(x);
        residual = value;
        bracket.check(x, value, iterations)?;
        bracket.narrow(x, value);
        let newton = x - value / slope;
        let trusted = newton >= bracket.low
            && newton <= bracket.high
            && 2.0 * (newton - x).abs() <= move_before.abs();
        let next = if trusted { newton } else { 0.5 * (bracket.low + bracket.high) };
        move_before = next - x;
        x = next;
        if move_before.abs() <= search.x_tolerance + 2.0 * f64::EPSILON * x.abs() {
            return Ok(Root { x, residual, iterations });
        }
    }
    Err(bracket.gave_up(residual, search.iterations_max))
}

#[cfg(test)]
mod tests;
