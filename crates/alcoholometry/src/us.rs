//! US gauging at 60 °F after 27 CFR part 30: wine gallons, proof gallons, the way by weight.
//!
//! Proof is twice the % vol with both volumes at 60 °F. Weights are in air against brass, as behind
//! the tables of that part. What is rounded, is rounded once, at the end.

use crate::check::Bound;
use crate::density::SIXTY_FAHRENHEIT_C;
use crate::error::AlcoholometryError;
use crate::weighing::{BRASS_DENSITY_KG_M3, density_in_air_kg_m3};
use crate::{kernel, strength, volume};

/// Litres of a US wine gallon, exact by definition (231 cubic inches).
pub const GALLON_L: f64 = 3.785411784;
/// Kilograms of a pound, exact by definition.
pub const POUND_KG: f64 = 0.45359237;
/// Ounces of a pound, by definition.
const OUNCES_PER_POUND: f64 = 16.0;

/// Mass fraction of a US proof.
///
/// # Errors
/// [`AlcoholometryError`] naming `proof` outside 0 to 200.
pub fn mass_fraction(proof: f64) -> Result<f64, AlcoholometryError> {
    Bound { low: 0.0, high: 200.0, unit: "proof", hint: "US proof at 60 °F: twice the % vol" }
        .named("proof", proof)?;
    strength::mass_fraction_from_vol(proof / 200.0, SIXTY_FAHRENHEIT_C)
}

/// Pounds in air of a wine gallon at 60 °F (27 CFR 30.65, table 5).
///
/// # Errors
/// As [`mass_fraction`].
pub fn pounds_per_wine_gallon(proof: f64) -> Result<f64, AlcoholometryError> {
    let density = kernel::density_kg_m3(mass_fraction(proof)?, SIXTY_FAHRENHEIT_C);
    let in_air = density_in_air_kg_m3(density, BRASS_DENSITY_KG_M3);
    Ok(in_air * GALLON_L / 1000.0 / POUND_KG)
}

/// Wine gallons at 60 °F of a pound (27 CFR 30.41, and 30.64, table 4).
///
/// # Errors
/// As [`mass_fraction`].
pub fn wine_gallons_per_pound(proof: f64) -> Result<f64, AlcoholometryError> {
    Ok(1.0 / pounds_per_wine_gallon(proof)?)
}

/// Proof gallons of a pound (27 CFR 30.64, table 4).
///
/// # Errors
/// As [`mass_fraction`].
pub fn proof_gallons_per_pound(proof: f64) -> Result<f64, AlcoholometryError> {
    Ok(proof_gallons(1.0, proof) / pounds_per_wine_gallon(proof)?)
}

/// Proof gallons of wine gallons at 60 °F (27 CFR 30.1: gallons times proof over 100).
#[must_use]
pub fn proof_gallons(wine_gallons_60f: f64, proof: f64) -> f64 {
    wine_gallons_60f * proof / 100.0
}

/// Wine gallons at 60 °F of litres at 20 °C.
#[must_use]
pub fn wine_gallons_of_20c(litres_20c: f64, mass_fraction: f64) -> f64 {
    litres_20c * volume::factor(mass_fraction, 20.0, SIXTY_FAHRENHEIT_C) / GALLON_L
}

/// Proof gallons at 60 °F of litres of pure alcohol at 20 °C, whatever the strength it is in: both
/// are the mass of ethanol over its own density, by definition of strength at either temperature.
#[must_use]
pub fn proof_gallons_of_pure_alcohol(litres_20c: f64) -> f64 {
    proof_gallons(wine_gallons_of_20c(litres_20c, 1.0), 200.0)
}

/// Volumes of water in 100 volumes of spirit at 60 °F, as both would measure alone (27 CFR 30.66,
/// table 6).
///
/// # Errors
/// As [`mass_fraction`].
pub fn water_parts_per_100(proof: f64) -> Result<f64, AlcoholometryError> {
    let p = mass_fraction(proof)?;
    let water_kg = volume::mass_kg(100.0, SIXTY_FAHRENHEIT_C, p) * (1.0 - p);
    Ok(volume::litres(water_kg, SIXTY_FAHRENHEIT_C, 0.0))
}

/// Net pounds of a container of so many wine gallons, a part of an ounce counted as a whole one
/// (27 CFR 30.44(b)).
///
/// # Errors
/// As [`mass_fraction`].
pub fn container_pounds(wine_gallons_60f: f64, proof: f64) -> Result<f64, AlcoholometryError> {
    let pounds = wine_gallons_60f * pounds_per_wine_gallon(proof)?;
    Ok((OUNCES_PER_POUND * pounds).ceil() / OUNCES_PER_POUND)
}

/// Proof gallons to one decimal: less than 0.05 dropped, 0.05 and more counted up (27 CFR 30.64).
///
/// A hair is added before, so that a decimal half that binary numbers hold a trifle too low counts
/// as the half it is; 1e-9 proof gallons is four microlitres.
#[must_use]
pub fn rounded_tenth(proof_gallons: f64) -> f64 {
    ((proof_gallons + 1e-9) * 10.0 + 0.5).floor() / 10.0
}
