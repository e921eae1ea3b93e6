//! Blends of any number of parts: masses add, volumes never do.

use crate::check::{self, Bound};
use crate::density::Isotherm;
use crate::error::{AlcoholometryError, Field};
use crate::uncertainty::{Reading, propagate};
use crate::warming::{Portion, warming_k};
use crate::{kernel, volume};

/// Most parts a blend may have.
pub const PARTS_MAX: usize = 1000;

/// One liquid of a blend.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// Its litres, as measured at its temperature.
    pub litres: f64,
    /// Its strength, % vol at 20 °C.
    pub strength_vol_20c: f64,
    /// Its temperature, -20..40 °C.
    pub celsius: f64,
    /// Standard deviation of the litres.
    pub litres_sd: f64,
    /// Standard deviation of the strength, % vol.
    pub strength_sd: f64,
}

impl Part {
    /// A part at 20 °C, known exactly.
    #[must_use]
    pub const fn at_20c(litres: f64, strength_vol_20c: f64) -> Self {
        Self { litres, strength_vol_20c, celsius: 20.0, litres_sd: 0.0, strength_sd: 0.0 }
    }

    /// Checks the part, which has a place counted from 1, and returns its mass fraction.
    fn checked(&self, place: usize) -> Result<f64, AlcoholometryError> {
        let field = |name| Field::of_part(name, place);
        Bound::LITRES.check(field("litres"), self.litres)?;
        Bound::STRENGTH_VOL.check(field("strength"), self.strength_vol_20c)?;
        Bound::CELSIUS.check(field("at"), self.celsius)?;
        Bound::deviation(Bound::LITRES.high, "L").check(field("litres-sd"), self.litres_sd)?;
        Bound::deviation(100.0, "% vol").check(field("strength-sd"), self.strength_sd)?;
        let p = kernel::mass_fraction_from_vol20(self.strength_vol_20c / 100.0);
        check::liquid(field("strength"), p, self.celsius)
    }

    fn readings(&self) -> [Reading; 2] {
        [
            Reading { value: self.litres, sd: self.litres_sd, low: 0.0, high: f64::MAX },
            Reading { value: self.strength_vol_20c, sd: self.strength_sd, low: 0.0, high: 100.0 },
        ]
    }
}

/// What a blend gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blended {
    /// Its litres at 20 °C.
    pub litres_20c: f64,
    /// Its strength, % vol at 20 °C.
    pub strength_vol_20c: f64,
    /// Litres of pure alcohol at 20 °C.
    pub pure_alcohol_l: f64,
    /// True mass, kg.
    pub mass_kg: f64,
    /// Strength, % mass.
    pub mass_percent: f64,
    /// Volume lost by mixing, per cent of the parts' volumes, all at 20 °C. Weak liquids can
    /// gain a little: then it is negative.
    pub contraction_percent: f64,
    /// Warming above the parts' mean temperature without loss of heat, K; see [`warming_k`].
    pub warming_k: Option<f64>,
    /// Standard deviation of the litres.
    pub litres_20c_sd: f64,
    /// Standard deviation of the strength, % vol.
    pub strength_sd: f64,
    /// Standard deviation of the pure alcohol, L.
    pub pure_alcohol_l_sd: f64,
}

/// Masses of ethanol and of everything, kg, of parts given as litres and % vol in turn.
fn masses_kg(parts: &[Part], readings: &[f64]) -> (f64, f64) {
    parts.iter().zip(readings.chunks_exact(2)).fold((0.0, 0.0), |(ethanol, all), (part, x)| {
        let p = kernel::mass_fraction_from_vol20(x[1] / 100.0);
        let mass = volume::mass_kg(x[0], part.celsius, p);
        (ethanol + mass * p, all + mass)
    })
}

/// Litres at 20 °C, % vol and litres of pure alcohol of a mass of ethanol in a mass of liquid, kg.
fn answers(ethanol_kg: f64, mass_kg: f64) -> [f64; 3] {
    let p = if mass_kg > 0.0 { (ethanol_kg / mass_kg).clamp(0.0, 1.0) } else { 0.0 };
    let litres = volume::litres(mass_kg, 20.0, p);
    let fraction = kernel::vol20_from_mass_fraction(p);
    [litres, 100.0 * fraction, litres * fraction]
}

/// Blends parts into one liquid by adding masses of ethanol and of everything.
///
/// # Errors
/// [`AlcoholometryError`] naming the part and its `litres`, `strength`, `at` or deviation; no
/// parts, more than [`PARTS_MAX`], or nothing in any of them.
pub fn blend(parts: &[Part]) -> Result<Blended, AlcoholometryError> {
    if parts.is_empty() || parts.len() > PARTS_MAX {
        let field = Field::named("parts");
        let count = parts.len();
        return Err(AlcoholometryError::Count { field, count, low: 1, high: PARTS_MAX });
    }
    let mut portions = Vec::with_capacity(parts.len());
    let mut litres_apart = 0.0;
    for (i, part) in parts.iter().enumerate() {
        let p = part.checked(i + 1)?;
        let mass = volume::mass_kg(part.litres, part.celsius, p);
        litres_apart += volume::litres(mass, 20.0, p);
        portions.push(portion(mass, p, part.celsius));
    }
    let least = Bound { low: 1e-6, hint: "at least one part must hold something", ..Bound::LITRES };
    least.named("litres", parts.iter().map(|part| part.litres).sum())?;
    let readings: Vec<Reading> = parts.iter().flat_map(Part::readings).collect();
    let values: Vec<f64> = readings.iter().map(|reading| reading.value).collect();
    let (ethanol_kg, mass_kg) = masses_kg(parts, &values);
    let [litres_20c, strength_vol_20c, pure_alcohol_l] = answers(ethanol_kg, mass_kg);
    let [litres_20c_sd, strength_sd, pure_alcohol_l_sd] = propagate(&readings, |x| {
        let (ethanol_kg, mass_kg) = masses_kg(parts, x);
        Ok::<_, AlcoholometryError>(answers(ethanol_kg, mass_kg))
    })?;
    Ok(Blended {
        litres_20c,
        strength_vol_20c,
        pure_alcohol_l,
        mass_kg,
        mass_percent: 100.0 * ethanol_kg / mass_kg,
        contraction_percent: 100.0 * (litres_apart - litres_20c) / litres_apart,
        warming_k: warming_k(&portions),
        litres_20c_sd,
        strength_sd,
        pure_alcohol_l_sd,
    })
}

/// Amount and composition of a mass of liquid, for the heat of mixing.
pub(crate) fn portion(mass_kg: f64, mass_fraction: f64, celsius: f64) -> Portion {
    let ethanol = mass_fraction / kernel::ETHANOL_MOLAR_MASS_G_MOL;
    let water = (1.0 - mass_fraction) / kernel::WATER_MOLAR_MASS_G_MOL;
    let x_ethanol = kernel::mole_fraction_from_mass_fraction(mass_fraction);
    Portion { mol: 1000.0 * mass_kg * (ethanol + water), x_ethanol, celsius }
}

/// A weaker liquid to bring up to a strength with a stronger one, both at 20 °C.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RaiseInput {
    /// Litres of the weaker liquid at 20 °C.
    pub litres: f64,
    /// Its strength, % vol at 20 °C.
    pub weaker: f64,
    /// Strength of the liquid to add, % vol at 20 °C.
    pub stronger: f64,
    /// Strength wanted, % vol at 20 °C.
    pub target: f64,
}

/// Litres at 20 °C of the stronger liquid that bring the weaker one to the target, and the blend.
///
/// # Errors
/// [`AlcoholometryError`] naming `litres`, `weaker`, `stronger` or `target`: the target must lie
/// between the two and stay below the stronger.
pub fn stronger_part(input: RaiseInput) -> Result<(f64, Blended), AlcoholometryError> {
    let RaiseInput { litres, weaker, stronger, target } = input;
    Bound { low: 1e-6, ..Bound::LITRES }.named("litres", litres)?;
    Bound::STRENGTH_VOL.named("weaker", weaker)?;
    let above = Bound {
        low: weaker + 0.01,
        hint: "the stronger liquid must be stronger than the weaker one",
        ..Bound::STRENGTH_VOL
    };
    above.named("stronger", stronger)?;
    let between = Bound {
        low: weaker,
        high: stronger - 0.001,
        unit: "% vol",
        hint: "a blend lies between its parts; only the stronger alone has its own strength",
    };
    between.named("target", target)?;
    let p = |vol: f64| kernel::mass_fraction_from_vol20(vol / 100.0);
    let mass = volume::mass_kg(litres, 20.0, p(weaker));
    let added_kg = mass * (p(target) - p(weaker)) / (p(stronger) - p(target));
    let added = 1000.0 * added_kg / Isotherm::AT_20C.density_kg_m3(p(stronger));
    let blended = blend(&[Part::at_20c(litres, weaker), Part::at_20c(added, stronger)])?;
    Ok((added, blended))
}
