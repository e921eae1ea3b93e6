//! The glass hydrometer: from what it reads at some temperature to the true strength, and back.
//!
//! A mark stands for the density its scale means at the reference temperature. Warm glass is
//! larger and floats higher: the liquid's density is the mark's times `1 - a (t - reference)`.

use crate::check::Bound;
use crate::density::{Isotherm, SIXTY_FAHRENHEIT_C};
use crate::error::{AlcoholometryError, Field};
use crate::strength::{self, vol_fraction_and_slope};
use crate::{check, freezing, kernel};

/// Cubic expansion of hydrometer glass, 1/K: the conventional value of ISO 1768:1975.
pub const GLASS_EXPANSION_PER_K: f64 = 25e-6;
/// Standard deviation of a thermometer reading where none is given, K.
pub const CELSIUS_SD_DEFAULT: f64 = 0.2;

/// What the numbers on the glass mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Scale {
    /// Per cent by volume, true at 20 °C.
    #[default]
    Vol20,
    /// Per cent by volume, true at 60 °F.
    Vol60,
    /// US proof, true at 60 °F.
    Proof60,
    /// Density in kg/m³, glass true at 20 °C.
    Density,
}

impl Scale {
    /// Every scale, in the order commands list them.
    pub const ALL: [Self; 4] = [Self::Vol20, Self::Vol60, Self::Proof60, Self::Density];

    /// The name commands and forms use.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Vol20 => "vol20",
            Self::Vol60 => "vol60",
            Self::Proof60 => "proof60",
            Self::Density => "density",
        }
    }

    /// The scale of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|scale| scale.name() == name)
    }

    /// Standard deviation of a reading where none is given, in the unit of the scale.
    #[must_use]
    pub const fn reading_sd_default(self) -> f64 {
        match self {
            Self::Vol20 | Self::Vol60 => 0.1,
            Self::Proof60 => 0.2,
            Self::Density => 0.5,
        }
    }

    const fn reference_celsius(self) -> f64 {
        match self {
            Self::Vol20 | Self::Density => 20.0,
            Self::Vol60 | Self::Proof60 => SIXTY_FAHRENHEIT_C,
        }
    }

    /// Marks per volume fraction: 100 for per cent, 200 for proof, none for density.
    const fn marks(self) -> Option<f64> {
        match self {
            Self::Vol20 | Self::Vol60 => Some(100.0),
            Self::Proof60 => Some(200.0),
            Self::Density => None,
        }
    }

    const fn bound(self) -> Bound {
        let (low, high, unit, hint) = match self {
            Self::Vol20 => (0.0, 100.0, "% vol", "the scale shows per cent by volume at 20 °C"),
            Self::Vol60 => (0.0, 100.0, "% vol", "the scale shows per cent by volume at 60 °F"),
            Self::Proof60 => (0.0, 200.0, "proof", "the scale shows US proof at 60 °F"),
            Self::Density => (700.0, 1100.0, "kg/m³", "the scale shows kg/m³: 950, not 0.950"),
        };
        Bound { low, high, unit, hint }
    }

    fn glass(self, celsius: f64) -> f64 {
        1.0 - GLASS_EXPANSION_PER_K * (celsius - self.reference_celsius())
    }

    /// Density in kg/m³ a mark stands for, and its derivative by the mark.
    fn mark_density(self, reading: f64) -> Result<(f64, f64), AlcoholometryError> {
        let Some(marks) = self.marks() else { return Ok((reading, 1.0)) };
        let reference = self.reference_celsius();
        let p = strength::mass_fraction_from_vol(reading / marks, reference)?;
        let isotherm = Isotherm::at(reference);
        let (density, slope) = isotherm.density_and_slope(p);
        let (_, by_mass) = vol_fraction_and_slope(p, &isotherm);
        Ok((density, slope / by_mass / marks))
    }

    /// The mark that stands for a density, held to the ends of the scale.
    fn mark(self, density_kg_m3: f64) -> Result<f64, AlcoholometryError> {
        let Some(marks) = self.marks() else { return Ok(density_kg_m3) };
        let reference = self.reference_celsius();
        let isotherm = Isotherm::at(reference);
        let on_scale =
            density_kg_m3.clamp(isotherm.density_kg_m3(1.0), isotherm.density_kg_m3(0.0));
        let p = strength::mass_fraction_from_density(on_scale, reference)?;
        Ok(marks * strength::vol_fraction(p, reference))
    }
}

/// A reading to correct.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GaugeInput {
    /// What the glass reads, in the unit of its scale.
    pub reading: f64,
    /// Temperature of the sample, -20..40 °C.
    pub celsius: f64,
    /// What the numbers on the glass mean.
    pub scale: Scale,
    /// Standard deviation of the reading, same unit.
    pub reading_sd: f64,
    /// Standard deviation of the temperature, K.
    pub celsius_sd: f64,
}

impl GaugeInput {
    /// A reading with the usual deviations of its scale and of a thermometer.
    #[must_use]
    pub const fn new(reading: f64, celsius: f64, scale: Scale) -> Self {
        let reading_sd = scale.reading_sd_default();
        Self { reading, celsius, scale, reading_sd, celsius_sd: CELSIUS_SD_DEFAULT }
    }
}

/// The true strength behind a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gauged {
    /// Strength, % vol at 20 °C.
    pub strength_vol_20c: f64,
    /// Its standard deviation from both readings, % vol.
    pub strength_sd: f64,
    /// Strength, % mass.
    pub mass_percent: f64,
    /// Mole fraction of ethanol.
    pub mole_fraction: f64,
    /// US proof at 60 °F.
    pub proof_60f: f64,
    /// Density at the sample's temperature, kg/m³.
    pub density_kg_m3: f64,
    /// Density at 20 °C, kg/m³.
    pub density_20c_kg_m3: f64,
}

/// Corrects a reading of a glass hydrometer to the true strength.
///
/// # Errors
/// [`AlcoholometryError`] naming `reading`, `at`, `reading-sd` or `at-sd`. A reading that no
/// liquid can give at its temperature is refused with the lowest and highest that one can.
pub fn gauge(input: GaugeInput) -> Result<Gauged, AlcoholometryError> {
    let GaugeInput { reading, celsius, scale, reading_sd, celsius_sd } = input;
    let bound = scale.bound();
    bound.named("reading", reading)?;
    Bound::CELSIUS.named("at", celsius)?;
    Bound::deviation(100.0, bound.unit).named("reading-sd", reading_sd)?;
    Bound::deviation(20.0, "K").named("at-sd", celsius_sd)?;
    let (mark_density, by_mark) = scale.mark_density(reading)?;
    let density = mark_density * scale.glass(celsius);
    let Ok(p) = strength::mass_fraction_from_density(density, celsius) else {
        return Err(no_such_reading(scale, reading, celsius)?);
    };
    let isotherm = Isotherm::at(celsius);
    // rho(p, t) = rho_mark(reading) (1 - a (t - reference)), differentiated.
    let (_, by_mass) = isotherm.density_and_slope(p);
    let by_reading = scale.glass(celsius) * by_mark / by_mass;
    let warmth = Isotherm::slope_at(celsius).density_kg_m3(p);
    let by_celsius = -(GLASS_EXPANSION_PER_K * mark_density + warmth) / by_mass;
    let (_, vol_by_mass) = vol_fraction_and_slope(p, &Isotherm::AT_20C);
    let mass_sd = f64::hypot(by_reading * reading_sd, by_celsius * celsius_sd);
    Ok(Gauged {
        strength_vol_20c: 100.0 * kernel::vol20_from_mass_fraction(p),
        strength_sd: 100.0 * vol_by_mass * mass_sd,
        mass_percent: 100.0 * p,
        mole_fraction: kernel::mole_fraction_from_mass_fraction(p),
        proof_60f: strength::proof_60f(p),
        density_kg_m3: density,
        density_20c_kg_m3: Isotherm::AT_20C.density_kg_m3(p),
    })
}

/// The error for a reading outside what pure ethanol and the weakest liquid give.
fn no_such_reading(
    scale: Scale,
    reading: f64,
    celsius: f64,
) -> Result<AlcoholometryError, AlcoholometryError> {
    let isotherm = Isotherm::at(celsius);
    let weakest = isotherm.density_kg_m3(freezing::mass_fraction_low(celsius));
    let one = scale.mark(weakest / scale.glass(celsius))?;
    let other = scale.mark(isotherm.density_kg_m3(1.0) / scale.glass(celsius))?;
    Ok(AlcoholometryError::OutOfRange {
        field: Field::named("reading"),
        value: reading,
        low: one.min(other),
        high: one.max(other),
        unit: scale.bound().unit,
        hint: "no ethanol-water liquid reads so at this temperature; check the scale and the thermometer, and that the sample holds no sugar",
    })
}

/// What a glass reads in a liquid of known strength: the inverse of [`gauge`].
///
/// # Errors
/// [`AlcoholometryError`] naming `strength` or `at`, for a liquid that is partly ice, or one in
/// which the scale of the glass ends before it floats.
pub fn would_read(
    strength_vol_20c: f64,
    celsius: f64,
    scale: Scale,
) -> Result<f64, AlcoholometryError> {
    Bound::STRENGTH_VOL.named("strength", strength_vol_20c)?;
    Bound::CELSIUS.named("at", celsius)?;
    let p = kernel::mass_fraction_from_vol20(strength_vol_20c / 100.0);
    check::liquid(Field::named("strength"), p, celsius)?;
    let mark_density = kernel::density_kg_m3(p, celsius) / scale.glass(celsius);
    let reading = scale.mark(mark_density)?;
    let (held_density, _) = scale.mark_density(reading)?;
    if (held_density - mark_density).abs() < 1e-6 {
        return Ok(reading);
    }
    off_scale(strength_vol_20c, celsius, scale).and_then(Err)
}

/// The error for a liquid lighter or heavier than the ends of the scale mean at its temperature.
fn off_scale(
    strength_vol_20c: f64,
    celsius: f64,
    scale: Scale,
) -> Result<AlcoholometryError, AlcoholometryError> {
    let isotherm = Isotherm::at(celsius);
    let (lightest, heaviest) =
        (isotherm.density_kg_m3(1.0), isotherm.density_kg_m3(freezing::mass_fraction_low(celsius)));
    let strength_at = |reading: f64| {
        let density = scale.mark_density(reading)?.0 * scale.glass(celsius);
        let p = strength::mass_fraction_from_density(density.clamp(lightest, heaviest), celsius)?;
        Ok(100.0 * kernel::vol20_from_mass_fraction(p))
    };
    let bound = scale.bound();
    Ok(AlcoholometryError::OutOfRange {
        field: Field::named("strength"),
        value: strength_vol_20c,
        low: strength_at(bound.low)?,
        high: strength_at(bound.high)?,
        unit: "% vol",
        hint: "beyond that the scale ends before the glass floats at this temperature; bring the sample to the temperature of the scale",
    })
}
