//! The forecast of a wash: what so much sugar in so many litres should become, and back.
//!
//! Ethanol is stoichiometry times efficiency. What does not become ethanol and carbon dioxide is
//! counted as dissolved and as heavy as sugar: in truth it is partly glycerol, acids and yeast.

use numerics::root::{Search, brent};

use super::gravity;
use super::sugar::{CO2_PER_ETHANOL, SugarKind};
use crate::check::Bound;
use crate::density::{ETHANOL_DENSITY_20C_KG_M3, Isotherm, WATER_DENSITY_20C_KG_M3};
use crate::error::{AlcoholometryError, Field};

/// Efficiency where none is given, per cent of stoichiometry.
pub const EFFICIENCY_DEFAULT: f64 = 92.0;
/// The usual band of efficiency, per cent: 90 to 95 in teaching texts on industrial yeast.
pub const EFFICIENCY_BAND: (f64, f64) = (90.0, 95.0);
/// Strength most yeasts do not pass, % vol (common practice, no source).
pub const YEAST_LIMIT_VOL: f64 = 18.0;
/// Most kinds of sugar in one wash.
pub const SUGARS_MAX: usize = 100;

/// Kilograms of one kind of sugar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sugar {
    /// What it is.
    pub kind: SugarKind,
    /// How much, kg as bought.
    pub kg: f64,
}

/// A wash to forecast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WashInput<'a> {
    /// Litres of wash at 20 °C before fermentation, sugar included.
    pub litres: f64,
    /// What is dissolved in it.
    pub sugars: &'a [Sugar],
    /// Ethanol made, per cent of stoichiometry.
    pub efficiency_percent: f64,
}

/// What a wash should become.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WashForecast {
    /// Specific gravity 20/20 before fermentation.
    pub original_gravity: f64,
    /// Dissolved sugar before fermentation, °Plato (g per 100 g).
    pub plato: f64,
    /// The same in °Brix, which is the same scale at 20 °C.
    pub brix: f64,
    /// Specific gravity 20/20 of the fermented wash.
    pub final_gravity: f64,
    /// Strength of the fermented wash, % vol at 20 °C.
    pub strength_vol: f64,
    /// Litres of the fermented wash at 20 °C, its carbon dioxide gone.
    pub fermented_l_20c: f64,
    /// Litres of pure alcohol at 20 °C.
    pub pure_alcohol_l: f64,
    /// The same at the low end of the usual band of efficiency (or at the one given, if lower).
    pub pure_alcohol_l_low: f64,
    /// The same at the high end of the usual band (or at the one given, if higher).
    pub pure_alcohol_l_high: f64,
    /// Carbon dioxide that leaves, kg.
    pub co2_kg: f64,
    /// What stays dissolved, kg.
    pub unfermented_kg: f64,
    /// The strength lies above [`YEAST_LIMIT_VOL`]: most yeasts stop before.
    pub beyond_usual_yeast: bool,
}

fn litres_bound() -> Bound {
    Bound { low: 1e-3, hint: "litres of wash at 20 °C, sugar included", ..Bound::LITRES }
}

fn efficiency_bound() -> Bound {
    Bound {
        low: 1.0,
        high: 100.0,
        unit: "%",
        hint: "efficiency is per cent of what stoichiometry allows; 90 to 95 is usual",
    }
}

/// Forecasts a wash.
///
/// # Errors
/// [`AlcoholometryError`] naming `litres`, `sugar` (with its place) or `efficiency`, no sugar at
/// all, or more than dissolves.
pub fn forecast(input: &WashInput<'_>) -> Result<WashForecast, AlcoholometryError> {
    let WashInput { litres, sugars, efficiency_percent } = *input;
    litres_bound().named("litres", litres)?;
    efficiency_bound().named("efficiency", efficiency_percent)?;
    if sugars.is_empty() || sugars.len() > SUGARS_MAX {
        let (field, count) = (Field::named("sugar"), sugars.len());
        return Err(AlcoholometryError::Count { field, count, low: 1, high: SUGARS_MAX });
    }
    for (i, sugar) in sugars.iter().enumerate() {
        Bound { low: 0.0, high: 1e5, unit: "kg", hint: "kilograms of sugar as bought" }
            .check(Field::of_part("sugar", i + 1), sugar.kg)?;
    }
    let extract_kg: f64 = sugars.iter().map(|sugar| sugar.kg * sugar.kind.extract_share()).sum();
    let sugar = gravity::from_kg_per_litre(Field::named("sugar"), extract_kg, litres)?;
    let full_kg: f64 = sugars.iter().map(|sugar| sugar.kg * sugar.kind.ethanol_yield()).sum();
    let mass_kg = litres * gravity::density_20c_kg_m3(sugar) / 1000.0;
    Ok(ferment(mass_kg, sugar, full_kg, efficiency_percent))
}

/// Ferments a wash of `mass_kg` with this mass fraction of sugar, which stoichiometry would turn
/// into `full_kg` of ethanol.
fn ferment(mass_kg: f64, sugar: f64, full_kg: f64, efficiency_percent: f64) -> WashForecast {
    let efficiency = efficiency_percent / 100.0;
    let ethanol_kg = efficiency * full_kg;
    let co2_kg = CO2_PER_ETHANOL * ethanol_kg;
    let unfermented_kg = (1.0 - efficiency) * sugar * mass_kg;
    let fermented_kg = mass_kg - co2_kg;
    // Tabarié: the gravities of the alcohol part and of the extract part add, less one.
    let final_gravity = Isotherm::AT_20C.density_kg_m3(ethanol_kg / fermented_kg)
        / WATER_DENSITY_20C_KG_M3
        + gravity::specific_gravity(unfermented_kg / fermented_kg)
        - 1.0;
    let fermented_l_20c = 1000.0 * fermented_kg / (final_gravity * WATER_DENSITY_20C_KG_M3);
    let alcohol_l = |kg: f64| 1000.0 * kg / ETHANOL_DENSITY_20C_KG_M3;
    let pure_alcohol_l = alcohol_l(ethanol_kg);
    let strength_vol = 100.0 * pure_alcohol_l / fermented_l_20c;
    let (low, high) = EFFICIENCY_BAND;
    WashForecast {
        original_gravity: gravity::specific_gravity(sugar),
        plato: 100.0 * sugar,
        brix: 100.0 * sugar,
        final_gravity,
        strength_vol,
        fermented_l_20c,
        pure_alcohol_l,
        pure_alcohol_l_low: alcohol_l(full_kg * low.min(efficiency_percent) / 100.0),
        pure_alcohol_l_high: alcohol_l(full_kg * high.max(efficiency_percent) / 100.0),
        co2_kg,
        unfermented_kg,
        beyond_usual_yeast: strength_vol > YEAST_LIMIT_VOL,
    }
}

/// Kilograms of one kind of sugar that make `litres` of wash (at 20 °C, sugar included) ferment
/// to a strength in % vol.
///
/// # Errors
/// [`AlcoholometryError`] naming `litres`, `efficiency` or `strength`, with the strength that the
/// most sugar this volume can hold would give.
pub fn sugar_for_strength(
    litres: f64,
    kind: SugarKind,
    strength_vol: f64,
    efficiency_percent: f64,
) -> Result<f64, AlcoholometryError> {
    litres_bound().named("litres", litres)?;
    let strength = |kg: f64| {
        let input = WashInput { litres, sugars: &[Sugar { kind, kg }], efficiency_percent };
        forecast(&input).map(|forecast| forecast.strength_vol)
    };
    let full = gravity::SUGAR_MASS_FRACTION_HIGH
        * gravity::density_20c_kg_m3(gravity::SUGAR_MASS_FRACTION_HIGH)
        / 1000.0;
    let most_kg = full * litres / kind.extract_share() * (1.0 - 1e-12);
    let bound = Bound {
        low: 0.0,
        high: strength(most_kg)?,
        unit: "% vol",
        hint: "more sugar than that does not dissolve, and yeast stops long before",
    };
    bound.named("strength", strength_vol)?;
    let miss = |kg: f64| strength(kg).map_or(f64::NAN, |found| found - strength_vol);
    brent(miss, 0.0, most_kg, Search::to(1e-9 * litres))
        .map(|root| root.x)
        .map_err(|cause| AlcoholometryError::Search { field: Field::named("strength"), cause })
}

/// Kilograms of one kind of sugar that should give so many litres of pure alcohol at 20 °C.
///
/// # Errors
/// [`AlcoholometryError`] naming `alcohol` or `efficiency`.
pub fn sugar_for_alcohol(
    pure_alcohol_l: f64,
    kind: SugarKind,
    efficiency_percent: f64,
) -> Result<f64, AlcoholometryError> {
    Bound { hint: "litres of pure alcohol at 20 °C", ..Bound::LITRES }
        .named("alcohol", pure_alcohol_l)?;
    efficiency_bound().named("efficiency", efficiency_percent)?;
    let ethanol_kg = pure_alcohol_l * ETHANOL_DENSITY_20C_KG_M3 / 1000.0;
    Ok(ethanol_kg / (kind.ethanol_yield() * efficiency_percent / 100.0))
}
