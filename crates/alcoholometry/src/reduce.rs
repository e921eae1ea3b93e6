//! Reducing spirit with water: how much of it, what comes out, how much volume and warmth it makes.
//!
//! Spirit and water have the same temperature; the answer by weight does not depend on it.

use crate::blend::portion;
use crate::check::Bound;
use crate::density::{CELSIUS_HIGH, Isotherm};
use crate::error::AlcoholometryError;
use crate::uncertainty::{Reading, propagate};
use crate::warming::warming_k;
use crate::{kernel, volume};

/// Weakest strength one can reduce to, % vol: below it the water outgrows any vessel.
pub const TO_LOW: f64 = 0.1;

/// Spirit to reduce.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReduceInput {
    /// Litres of spirit as measured at its temperature.
    pub litres: f64,
    /// Its strength, % vol at 20 °C.
    pub from: f64,
    /// Strength wanted, % vol at 20 °C.
    pub to: f64,
    /// Temperature of spirit and water, 0..40 °C.
    pub celsius: f64,
    /// Standard deviation of the litres.
    pub litres_sd: f64,
    /// Standard deviation of the spirit's strength, % vol.
    pub from_sd: f64,
    /// Standard deviation of the temperature, K.
    pub celsius_sd: f64,
}

impl ReduceInput {
    /// A reduction with readings taken as exact.
    #[must_use]
    pub const fn exact(litres: f64, from: f64, to: f64, celsius: f64) -> Self {
        Self { litres, from, to, celsius, litres_sd: 0.0, from_sd: 0.0, celsius_sd: 0.0 }
    }
}

/// What a reduction takes and gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reduced {
    /// Water to add, true mass in kg.
    pub water_kg: f64,
    /// The same water in litres at 20 °C.
    pub water_l_20c: f64,
    /// The same water in litres at the temperature given.
    pub water_l: f64,
    /// Litres of product at 20 °C.
    pub product_l_20c: f64,
    /// Litres of pure alcohol at 20 °C.
    pub pure_alcohol_l: f64,
    /// `100 (V1 + Vw - V2) / (V1 + Vw)`, all at 20 °C.
    pub contraction_percent: f64,
    /// Warming without loss of heat, K: [`warming_k`].
    pub warming_k: Option<f64>,
    /// Litres of water by the rule that volumes add: wrong, and shown to say by how much.
    pub naive_water_l: f64,
    /// Standard deviation of the water, kg.
    pub water_kg_sd: f64,
    /// Standard deviation of the product, L at 20 °C.
    pub product_l_20c_sd: f64,
    /// Standard deviation of the product's strength when exactly this water is added, % vol.
    pub strength_sd: f64,
}

fn fraction(vol_percent: f64) -> f64 {
    kernel::mass_fraction_from_vol20(vol_percent / 100.0)
}

fn checked(input: &ReduceInput) -> Result<(), AlcoholometryError> {
    Bound { low: 1e-6, ..Bound::LITRES }.named("litres", input.litres)?;
    Bound { low: TO_LOW, ..Bound::STRENGTH_VOL }.named("from", input.from)?;
    Bound {
        low: TO_LOW,
        high: input.from,
        unit: "% vol",
        hint: "water only weakens; to strengthen, blend with something stronger",
    }
    .named("to", input.to)?;
    Bound::CELSIUS_WITH_WATER.named("at", input.celsius)?;
    Bound::deviation(Bound::LITRES.high, "L").named("litres-sd", input.litres_sd)?;
    Bound::deviation(100.0, "% vol").named("from-sd", input.from_sd)?;
    Bound::deviation(20.0, "K").named("at-sd", input.celsius_sd)?;
    Ok(())
}

/// Water that brings spirit down to a strength, by mass balance.
///
/// # Errors
/// [`AlcoholometryError`] naming `litres`, `from`, `to`, `at` or a deviation.
pub fn reduce(input: ReduceInput) -> Result<Reduced, AlcoholometryError> {
    checked(&input)?;
    let ReduceInput { litres, from, to, celsius, .. } = input;
    let (p1, p2) = (fraction(from), fraction(to));
    let spirit_kg = volume::mass_kg(litres, celsius, p1);
    let water_kg = spirit_kg * (p1 / p2 - 1.0);
    let water_l_20c = volume::litres(water_kg, 20.0, 0.0);
    let product_l_20c = volume::litres(spirit_kg + water_kg, 20.0, p2);
    let apart = volume::litres(spirit_kg, 20.0, p1) + water_l_20c;
    let [water_kg_sd, product_l_20c_sd, strength_sd] = deviations(&input, water_kg)?;
    Ok(Reduced {
        water_kg,
        water_l_20c,
        water_l: volume::litres(water_kg, celsius, 0.0),
        product_l_20c,
        pure_alcohol_l: product_l_20c * to / 100.0,
        contraction_percent: 100.0 * (apart - product_l_20c) / apart,
        warming_k: warming_k(&[portion(spirit_kg, p1, celsius), portion(water_kg, 0.0, celsius)]),
        naive_water_l: litres * (from / to - 1.0),
        water_kg_sd,
        product_l_20c_sd,
        strength_sd,
    })
}

/// Deviations of water (kg) and product (L at 20 °C) for the target, and of the strength (% vol)
/// that this very mass of water gives.
fn deviations(input: &ReduceInput, added_kg: f64) -> Result<[f64; 3], AlcoholometryError> {
    let ReduceInput { litres, from, to, celsius, .. } = *input;
    let readings = [
        Reading { value: litres, sd: input.litres_sd, low: 0.0, high: f64::MAX },
        Reading { value: from, sd: input.from_sd, low: TO_LOW, high: 100.0 },
        Reading { value: celsius, sd: input.celsius_sd, low: 0.0, high: CELSIUS_HIGH },
    ];
    let p2 = fraction(to);
    propagate(&readings, |x| {
        let p1 = fraction(x[1]);
        let spirit_kg = volume::mass_kg(x[0], x[2], p1);
        let reached = spirit_kg * p1 / (spirit_kg + added_kg);
        Ok([
            spirit_kg * (p1 / p2 - 1.0),
            volume::litres(spirit_kg * p1 / p2, 20.0, p2),
            100.0 * kernel::vol20_from_mass_fraction(reached),
        ])
    })
}

/// Litres of spirit, measured at `celsius`, that make a volume of product (litres at 20 °C), with
/// the reduction that does it.
///
/// # Errors
/// [`AlcoholometryError`] naming `litres`, `from`, `to` or `at`.
pub fn to_make(
    product_l_20c: f64,
    from: f64,
    to: f64,
    celsius: f64,
) -> Result<(f64, Reduced), AlcoholometryError> {
    Bound { low: 1e-6, ..Bound::LITRES }.named("litres", product_l_20c)?;
    checked(&ReduceInput::exact(1.0, from, to, celsius))?;
    let (p1, p2) = (fraction(from), fraction(to));
    let spirit_kg = volume::mass_kg(product_l_20c, 20.0, p2) * p2 / p1;
    let litres = volume::litres(spirit_kg, celsius, p1);
    Ok((litres, reduce(ReduceInput::exact(litres, from, to, celsius))?))
}

/// Strength in % vol at 20 °C after this much water (litres at `celsius`) went into this much
/// spirit (litres at `celsius`), and the litres at 20 °C of the product.
///
/// # Errors
/// [`AlcoholometryError`] naming `litres`, `from`, `water` or `at`.
pub fn diluted_to(
    litres: f64,
    from: f64,
    water_litres: f64,
    celsius: f64,
) -> Result<(f64, f64), AlcoholometryError> {
    Bound { low: 1e-6, ..Bound::LITRES }.named("litres", litres)?;
    Bound::STRENGTH_VOL.named("from", from)?;
    Bound::LITRES.named("water", water_litres)?;
    Bound::CELSIUS_WITH_WATER.named("at", celsius)?;
    let p1 = fraction(from);
    let spirit_kg = volume::mass_kg(litres, celsius, p1);
    let all_kg = spirit_kg + volume::mass_kg(water_litres, celsius, 0.0);
    let p = spirit_kg * p1 / all_kg;
    let product_l_20c = 1000.0 * all_kg / Isotherm::AT_20C.density_kg_m3(p);
    Ok((100.0 * kernel::vol20_from_mass_fraction(p), product_l_20c))
}
