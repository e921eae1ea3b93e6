//! Strength at any reference temperature, and mass fraction from density: the two inversions.

use numerics::root::{Search, newton};

use crate::check::Bound;
use crate::density::{Isotherm, SIXTY_FAHRENHEIT_C};
use crate::error::{AlcoholometryError, Field};
use crate::{freezing, kernel};

/// Inversions stop when the next step would move the mass fraction by less.
const FINE: Search = Search::to(1e-13);

/// A density this far outside the range still counts as its end: rounding, not physics.
const DENSITY_SLACK_KG_M3: f64 = 1e-6;

/// Volume fraction at a reference temperature in °C: volumes of liquid and ethanol both there.
#[must_use]
pub fn vol_fraction(mass_fraction: f64, reference_celsius: f64) -> f64 {
    vol_fraction_and_slope(mass_fraction, &Isotherm::at(reference_celsius)).0
}

/// Volume fraction and its derivative in the mass fraction along the reference isotherm.
pub(crate) fn vol_fraction_and_slope(mass_fraction: f64, reference: &Isotherm) -> (f64, f64) {
    let ethanol = reference.density_kg_m3(1.0);
    let (density, slope) = reference.density_and_slope(mass_fraction);
    (mass_fraction * density / ethanol, (density + mass_fraction * slope) / ethanol)
}

/// Mass fraction of a volume fraction (0..1) at a reference temperature in °C.
///
/// # Errors
/// [`AlcoholometryError::OutOfRange`] for a fraction outside 0..1 or a temperature outside the
/// formula.
pub fn mass_fraction_from_vol(
    fraction: f64,
    reference_celsius: f64,
) -> Result<f64, AlcoholometryError> {
    Bound::CELSIUS.named("reference temperature", reference_celsius)?;
    Bound::STRENGTH_VOL.named("strength", 100.0 * fraction)?;
    let reference = Isotherm::at(reference_celsius);
    let miss = |p| {
        let (value, slope) = vol_fraction_and_slope(p, &reference);
        (value - fraction, slope)
    };
    let seed = kernel::mass_fraction_from_vol20(fraction);
    // The two ends are exact by definition; a bracket a hair wider keeps rounding out of them.
    newton(miss, -1e-9, 1.0 + 1e-9, seed, FINE)
        .map(|root| root.x.clamp(0.0, 1.0))
        .map_err(|cause| AlcoholometryError::Search { field: Field::named("strength"), cause })
}

/// Mass fraction of the liquid that has this density in kg/m³ at a temperature in °C.
///
/// # Errors
/// [`AlcoholometryError::OutOfRange`] naming the lightest and the heaviest ethanol-water liquid
/// of that temperature (down to its freezing limit).
pub fn mass_fraction_from_density(
    density_kg_m3: f64,
    celsius: f64,
) -> Result<f64, AlcoholometryError> {
    Bound::CELSIUS.named("at", celsius)?;
    let isotherm = Isotherm::at(celsius);
    let weakest = freezing::mass_fraction_low(celsius);
    let bound = Bound {
        low: isotherm.density_kg_m3(1.0),
        high: isotherm.density_kg_m3(weakest),
        unit: "kg/m³",
        hint: "at this temperature these are pure ethanol and the weakest liquid without ice; sugar or a warm sample falsify a density",
    };
    if density_kg_m3 < bound.low - DENSITY_SLACK_KG_M3
        || density_kg_m3 > bound.high + DENSITY_SLACK_KG_M3
        || density_kg_m3.is_nan()
    {
        bound.named("density", density_kg_m3)?;
    }
    let aim = density_kg_m3.clamp(bound.low, bound.high);
    let miss = |p| {
        let (value, slope) = isotherm.density_and_slope(p);
        (value - aim, slope)
    };
    let seed = (bound.high - aim) / (bound.high - bound.low);
    newton(miss, weakest, 1.0, weakest + seed * (1.0 - weakest), FINE)
        .map(|root| root.x)
        .map_err(|cause| AlcoholometryError::Search { field: Field::named("density"), cause })
}

/// US proof at 60 °F of a mass fraction: twice the per cent by volume there.
#[must_use]
pub fn proof_60f(mass_fraction: f64) -> f64 {
    200.0 * vol_fraction(mass_fraction, SIXTY_FAHRENHEIT_C)
}
