//! Gravity of sugar solutions at 20 °C: density, specific gravity 20/20, degrees Plato or Brix.
//!
//! The polynomial is ICUMSA SPS-4 (from memory; checked here up to 21 % mass and on the rows of
//! `reference/wash/sucrose_density_20c.csv`). Dextrose is taken to lie on the sucrose curve: no
//! open table of glucose densities was found. Brix and Plato are the same scale here.

use numerics::root::{Search, newton};

use crate::check::Bound;
use crate::error::{AlcoholometryError, Field};

/// Powers of the mass fraction of sucrose, kg/m³.
const SUCROSE: [f64; 7] = [998.2012, 385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890];

/// Strongest solution taken, mass fraction: a little below saturation at 20 °C (from memory).
pub const SUGAR_MASS_FRACTION_HIGH: f64 = 0.65;
/// Lowest apparent extract taken: a strong dry wash reads lighter than water.
pub const APPARENT_MASS_FRACTION_LOW: f64 = -0.1;

const FINE: Search = Search::to(1e-13);

/// Density at 20 °C in kg/m³ of a mass fraction of sugar, and its derivative.
fn density_and_slope(sugar: f64) -> (f64, f64) {
    SUCROSE
        .iter()
        .rev()
        .fold((0.0, 0.0), |(value, slope), c| (value * sugar + c, slope * sugar + value))
}

/// Density at 20 °C in kg/m³ of a mass fraction of sugar (0..0.65).
#[must_use]
pub fn density_20c_kg_m3(sugar_mass_fraction: f64) -> f64 {
    density_and_slope(sugar_mass_fraction).0
}

/// Specific gravity 20/20 of a mass fraction of sugar.
#[must_use]
pub fn specific_gravity(sugar_mass_fraction: f64) -> f64 {
    density_20c_kg_m3(sugar_mass_fraction) / SUCROSE[0]
}

/// Mass fraction of the sugar solution with this specific gravity 20/20; below 1 it is the
/// apparent extract of a fermented wash, and negative.
///
/// # Errors
/// [`AlcoholometryError::OutOfRange`] naming the gravity and its bounds.
pub fn sugar_mass_fraction(
    field: &'static str,
    specific_gravity: f64,
) -> Result<f64, AlcoholometryError> {
    let (low, high) = (APPARENT_MASS_FRACTION_LOW, SUGAR_MASS_FRACTION_HIGH);
    let bound = Bound {
        low: self::specific_gravity(low),
        high: self::specific_gravity(high),
        unit: "SG 20/20",
        hint: "specific gravity is about 1: 1.050, not 50 or 1050",
    };
    bound.named(field, specific_gravity)?;
    let miss = |w: f64| {
        let (density, slope) = density_and_slope(w);
        (density / SUCROSE[0] - specific_gravity, slope / SUCROSE[0])
    };
    let seed = (specific_gravity - 1.0) * 2.5;
    newton(miss, low - 1e-9, high + 1e-9, seed, FINE)
        .map(|root| root.x)
        .map_err(|cause| AlcoholometryError::Search { field: Field::named(field), cause })
}

/// Specific gravity 20/20 of so many degrees Plato (or Brix): grams of extract in 100 g. Below 0 it is
/// what a dry wash reads.
///
/// # Errors
/// [`AlcoholometryError::OutOfRange`] naming the degrees and their bounds.
pub fn of_plato(field: &'static str, plato: f64) -> Result<f64, AlcoholometryError> {
    let bound = Bound {
        low: 100.0 * APPARENT_MASS_FRACTION_LOW,
        high: 100.0 * SUGAR_MASS_FRACTION_HIGH,
        unit: "°Plato",
        hint: "grams of extract in 100 g: 12.5, not 1.050",
    };
    bound.named(field, plato)?;
    Ok(specific_gravity(plato / 100.0))
}

/// Degrees Plato of a specific gravity 20/20.
///
/// # Errors
/// As [`sugar_mass_fraction`].
pub fn plato(field: &'static str, specific_gravity: f64) -> Result<f64, AlcoholometryError> {
    Ok(100.0 * sugar_mass_fraction(field, specific_gravity)?)
}

/// Mass fraction of sugar of which a litre at 20 °C holds so many kilograms.
///
/// # Errors
/// [`AlcoholometryError::OutOfRange`] for more sugar than dissolves.
pub(crate) fn from_kg_per_litre(
    field: Field,
    sugar_kg: f64,
    litres: f64,
) -> Result<f64, AlcoholometryError> {
    let full = SUGAR_MASS_FRACTION_HIGH * density_20c_kg_m3(SUGAR_MASS_FRACTION_HIGH) / 1000.0;
    let bound = Bound {
        low: 0.0,
        high: full * litres,
        unit: "kg dissolved",
        hint: "that much sugar does not dissolve in this volume; litres count the whole wash, sugar included",
    };
    bound.check(field, sugar_kg)?;
    let aim = 1000.0 * sugar_kg / litres;
    let miss = |w: f64| {
        let (density, slope) = density_and_slope(w);
        (w * density - aim, density + w * slope)
    };
    newton(miss, -1e-9, SUGAR_MASS_FRACTION_HIGH + 1e-9, aim / 1000.0, FINE)
        .map(|root| root.x.max(0.0))
        .map_err(|cause| AlcoholometryError::Search { field, cause })
}
