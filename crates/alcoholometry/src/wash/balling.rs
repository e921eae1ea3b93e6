//! Balling's balance: strength and extracts of a fermented wash from its gravities.
//!
//! 2.0665 g of extract give 1 g of ethanol, 0.9565 g of carbon dioxide and 0.11 g of yeast
//! (Cutaia, Reid and Speers, J. Inst. Brew. 115 (2009) 318-327). Good to 0.1-0.2 % vol on grain
//! worts; an approximation for washes of pure sugar.

use super::gravity;
use crate::check::Bound;
use crate::density::{ETHANOL_DENSITY_20C_KG_M3, WATER_DENSITY_20C_KG_M3};
use crate::error::AlcoholometryError;
use crate::uncertainty::{Reading, propagate};

/// Grams of carbon dioxide that leave with each gram of ethanol.
pub const CO2_PER_ETHANOL: f64 = 0.9565;
/// Grams of yeast that grow with each gram of ethanol.
pub const YEAST_PER_ETHANOL: f64 = 0.11;
/// Grams that leave the liquid with each gram of ethanol.
const LOST_PER_ETHANOL: f64 = CO2_PER_ETHANOL + YEAST_PER_ETHANOL;
/// Grams of extract that go into each gram of ethanol.
pub const EXTRACT_PER_ETHANOL: f64 = 1.0 + LOST_PER_ETHANOL;
/// Share of the original extract in the real one, with the apparent extract for the rest.
const ORIGINAL_SHARE: f64 = 0.1808;

/// Original extract (°Plato) from alcohol (% mass) and real extract (°Plato).
#[must_use]
pub fn original_extract(alcohol_mass_percent: f64, real_extract: f64) -> f64 {
    100.0 * (EXTRACT_PER_ETHANOL * alcohol_mass_percent + real_extract)
        / (100.0 + LOST_PER_ETHANOL * alcohol_mass_percent)
}

/// Alcohol (% mass) from original and real extract (°Plato): [`original_extract`] turned round.
#[must_use]
pub fn alcohol_mass_percent(original_extract: f64, real_extract: f64) -> f64 {
    (original_extract - real_extract)
        / (EXTRACT_PER_ETHANOL - LOST_PER_ETHANOL / 100.0 * original_extract)
}

/// Real extract (°Plato) from original and apparent extract, by the common constants.
#[must_use]
pub fn real_extract(original_extract: f64, apparent_extract: f64) -> f64 {
    ORIGINAL_SHARE * original_extract + (1.0 - ORIGINAL_SHARE) * apparent_extract
}

/// Balling's alcohol factor: % mass of alcohol per degree of apparent attenuation, by the
/// attenuation quotient `0.820 - 0.00066` per degree of original extract.
#[must_use]
pub fn alcohol_factor(original_extract: f64) -> f64 {
    (0.820 - 0.00066 * original_extract)
        / (EXTRACT_PER_ETHANOL - LOST_PER_ETHANOL / 100.0 * original_extract)
}

/// What two gravities say about a fermented wash.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Attenuation {
    /// Original extract, °Plato.
    pub original_plato: f64,
    /// Apparent extract, °Plato; negative where the wash reads lighter than water.
    pub apparent_plato: f64,
    /// Alcohol, % mass.
    pub alcohol_mass_percent: f64,
    /// Strength, % vol at 20 °C.
    pub strength_vol: f64,
    /// Its standard deviation from those of the two readings, % vol; the method itself adds 0.1-0.2.
    pub strength_sd: f64,
}

/// Strength of a fermented wash from specific gravities 20/20 before and after, each read with
/// the standard deviation `gravity_sd`.
///
/// # Errors
/// [`AlcoholometryError`] naming `original gravity`, `final gravity` or `gravity-sd`.
pub fn from_gravities(
    original_gravity: f64,
    final_gravity: f64,
    gravity_sd: f64,
) -> Result<Attenuation, AlcoholometryError> {
    Bound::deviation(0.1, "SG 20/20").named("gravity-sd", gravity_sd)?;
    let found = attenuation(original_gravity, final_gravity)?;
    let low = gravity::specific_gravity(gravity::APPARENT_MASS_FRACTION_LOW);
    let high = gravity::specific_gravity(gravity::SUGAR_MASS_FRACTION_HIGH);
    let readings =
        [original_gravity, final_gravity].map(|value| Reading { value, sd: gravity_sd, low, high });
    let [strength_sd] =
        propagate(&readings, |x| attenuation(x[0], x[1]).map(|found| [found.strength_vol]))?;
    Ok(Attenuation { strength_sd, ..found })
}

fn attenuation(
    original_gravity: f64,
    final_gravity: f64,
) -> Result<Attenuation, AlcoholometryError> {
    let original = 100.0 * gravity::sugar_mass_fraction("original gravity", original_gravity)?;
    let apparent = 100.0 * gravity::sugar_mass_fraction("final gravity", final_gravity)?;
    Bound {
        low: gravity::specific_gravity(gravity::APPARENT_MASS_FRACTION_LOW),
        high: original_gravity,
        unit: "SG 20/20",
        hint: "fermentation only lowers the gravity; check which reading is which",
    }
    .named("final gravity", final_gravity)?;
    let alcohol = alcohol_factor(original) * (original - apparent);
    let to_volume = final_gravity * WATER_DENSITY_20C_KG_M3 / ETHANOL_DENSITY_20C_KG_M3;
    Ok(Attenuation {
        original_plato: original,
        apparent_plato: apparent,
        alcohol_mass_percent: alcohol,
        strength_vol: alcohol * to_volume,
        strength_sd: 0.0,
    })
}
