//! From strength by volume at 20 °C back to mass fraction: a table for speed, Newton for the rest.

use std::sync::LazyLock;

use crate::density::{ETHANOL_DENSITY_20C_KG_M3, Isotherm};

/// Intervals of the table; with exact slopes at the knots the cubic is good to 1e-8 everywhere.
const INTERVALS: usize = 512;
const INTERVALS_F64: f64 = 512.0;

/// Newton steps that build a knot; the starting point is never more than 0.1 away.
const KNOT_STEPS: usize = 60;

/// Mass fraction and its derivative in the volume fraction at one knot of the table.
#[derive(Debug, Clone, Copy)]
struct Knot {
    mass_fraction: f64,
    slope: f64,
}

static KNOTS: LazyLock<[Knot; INTERVALS + 1]> = LazyLock::new(|| {
    let mut knots = [Knot { mass_fraction: 0.0, slope: 0.0 }; INTERVALS + 1];
    let mut p = 0.0;
    for (i, knot) in knots.iter_mut().enumerate() {
        let fraction = i as f64 / INTERVALS_F64;
        for _ in 0..KNOT_STEPS {
            p = newton_step(p, fraction);
        }
        *knot = Knot { mass_fraction: p, slope: 1.0 / volume_fraction_and_slope(p).1 };
    }
    knots
});

/// Volume fraction at 20 °C of a mass fraction, and its derivative in the mass fraction.
pub(crate) fn volume_fraction_and_slope(mass_fraction: f64) -> (f64, f64) {
    let (density, slope) = Isotherm::AT_20C.density_and_slope(mass_fraction);
    (
        mass_fraction * density / ETHANOL_DENSITY_20C_KG_M3,
        (density + mass_fraction * slope) / ETHANOL_DENSITY_20C_KG_M3,
    )
}

fn newton_step(mass_fraction: f64, fraction: f64) -> f64 {
    let (value, slope) = volume_fraction_and_slope(mass_fraction);
    mass_fraction - (value - fraction) / slope
}

/// Mass fraction of a volume fraction at 20 °C (0..1, clamped) by cubic interpolation between
/// exact knots: within 1e-8 of the exact inverse, for plots and for starting points.
#[must_use]
pub fn mass_fraction_from_vol20_fast(fraction: f64) -> f64 {
    let place = fraction.clamp(0.0, 1.0) * INTERVALS_F64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to 0..=512 on the line above; NaN becomes 0"
    )]
    let i = (place as usize).min(INTERVALS - 1);
    let knots = &*KNOTS;
    let (left, right) = (knots[i], knots[i + 1]);
    let u = place - i as f64;
    let rise = right.mass_fraction - left.mass_fraction;
    let start = left.slope / INTERVALS_F64;
    let end = right.slope / INTERVALS_F64;
    let bend = start + end - 2.0 * rise;
    left.mass_fraction + u * (start + u * (rise - start - bend + u * bend))
}

/// Mass fraction of a volume fraction at 20 °C (0..1, clamped), to rounding: the table, then two
/// Newton steps on the formula itself.
#[must_use]
pub fn mass_fraction_from_vol20_exact(fraction: f64) -> f64 {
    let fraction = fraction.clamp(0.0, 1.0);
    let seed = mass_fraction_from_vol20_fast(fraction);
    newton_step(newton_step(seed, fraction), fraction).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::{
        mass_fraction_from_vol20_exact, mass_fraction_from_vol20_fast, volume_fraction_and_slope,
    };

    #[test]
    fn prop_exact_returns_home_to_1e_12_and_fast_to_1e_8() {
        for i in 0..=20_000_u32 {
            let p = f64::from(i) / 20_000.0;
            let (fraction, _) = volume_fraction_and_slope(p);
            let exact = mass_fraction_from_vol20_exact(fraction);
            let fast = mass_fraction_from_vol20_fast(fraction);
            assert!((exact - p).abs() < 1e-12, "{p} came back as {exact}");
            assert!((fast - p).abs() < 1e-8, "{p} came back as {fast}");
        }
    }
}
