//! Everything the density formula knows about one ethanol-water liquid.

use crate::check::{self, Bound};
use crate::density::Isotherm;
use crate::error::{AlcoholometryError, Field};
use crate::uncertainty::{Reading, propagate};
use crate::{density, kernel, strength};

/// One way to say how strong a liquid is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Basis {
    /// Per cent by volume at 20 °C.
    Vol20Percent(f64),
    /// Per cent by mass.
    MassPercent(f64),
    /// Moles of ethanol per mole of ethanol and water (0..1).
    MoleFraction(f64),
    /// US proof at 60 °F (0..200).
    Proof60F(f64),
    /// True density in kg/m³ at the liquid's own temperature.
    DensityKgM3(f64),
}

impl Basis {
    const fn value(self) -> f64 {
        match self {
            Self::Vol20Percent(value)
            | Self::MassPercent(value)
            | Self::MoleFraction(value)
            | Self::Proof60F(value)
            | Self::DensityKgM3(value) => value,
        }
    }

    const fn with(self, value: f64) -> Self {
        match self {
            Self::Vol20Percent(_) => Self::Vol20Percent(value),
            Self::MassPercent(_) => Self::MassPercent(value),
            Self::MoleFraction(_) => Self::MoleFraction(value),
            Self::Proof60F(_) => Self::Proof60F(value),
            Self::DensityKgM3(_) => Self::DensityKgM3(value),
        }
    }

    /// The name commands and forms give this basis.
    #[must_use]
    pub const fn field(self) -> &'static str {
        match self {
            Self::Vol20Percent(_) => "vol",
            Self::MassPercent(_) => "mass",
            Self::MoleFraction(_) => "mole",
            Self::Proof60F(_) => "proof",
            Self::DensityKgM3(_) => "density",
        }
    }

    const fn bound(self) -> Bound {
        match self {
            Self::Vol20Percent(_) => Bound::STRENGTH_VOL,
            Self::MassPercent(_) => {
                Bound { low: 0.0, high: 100.0, unit: "% mass", hint: "per cent by mass" }
            }
            Self::MoleFraction(_) => Bound {
                low: 0.0,
                high: 1.0,
                unit: "mol/mol",
                hint: "a mole fraction goes from 0 (water) to 1 (ethanol), not to 100",
            },
            Self::Proof60F(_) => Bound {
                low: 0.0,
                high: 200.0,
                unit: "proof",
                hint: "US proof is twice the per cent by volume at 60 °F",
            },
            Self::DensityKgM3(_) => Bound {
                low: 700.0,
                high: 1100.0,
                unit: "kg/m³",
                hint: "density is in kg/m³: 950, not 0.950",
            },
        }
    }

    /// Mass fraction of the liquid, which has `celsius` where the basis is a density.
    ///
    /// # Errors
    /// [`AlcoholometryError`] for a value out of range or a liquid that would be partly ice.
    pub fn mass_fraction(self, celsius: f64) -> Result<f64, AlcoholometryError> {
        Bound::CELSIUS.named("at", celsius)?;
        let field = Field::named(self.field());
        let value = self.bound().check(field, self.value())?;
        let mass_fraction = match self {
            Self::Vol20Percent(_) => kernel::mass_fraction_from_vol20(value / 100.0),
            Self::MassPercent(_) => value / 100.0,
            Self::MoleFraction(_) => kernel::mass_fraction_from_mole_fraction(value),
            Self::Proof60F(_) => {
                strength::mass_fraction_from_vol(value / 200.0, density::SIXTY_FAHRENHEIT_C)?
            }
            Self::DensityKgM3(_) => strength::mass_fraction_from_density(value, celsius)?,
        };
        check::liquid(field, mass_fraction, celsius)
    }
}

/// A liquid to describe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LiquidInput {
    /// Its strength.
    pub basis: Basis,
    /// Its temperature, -20..40 °C.
    pub celsius: f64,
    /// Standard deviation of the strength, in the unit of the basis.
    pub basis_sd: f64,
    /// Standard deviation of the temperature, K.
    pub celsius_sd: f64,
}

impl LiquidInput {
    /// A liquid known exactly.
    #[must_use]
    pub const fn exact(basis: Basis, celsius: f64) -> Self {
        Self { basis, celsius, basis_sd: 0.0, celsius_sd: 0.0 }
    }
}

/// One liquid in every basis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Liquid {
    /// Strength, % vol at 20 °C.
    pub strength_vol_20c: f64,
    /// Its standard deviation, % vol.
    pub strength_sd: f64,
    /// Strength, % mass.
    pub mass_percent: f64,
    /// Mole fraction of ethanol.
    pub mole_fraction: f64,
    /// US proof at 60 °F.
    pub proof_60f: f64,
    /// Density at the liquid's temperature, kg/m³.
    pub density_kg_m3: f64,
    /// Its standard deviation, kg/m³.
    pub density_sd_kg_m3: f64,
    /// Density at 20 °C, kg/m³.
    pub density_20c_kg_m3: f64,
    /// Litres the liquid fills at its temperature for each litre it fills at 20 °C.
    pub litres_at_t_per_litre_20c: f64,
}

/// Describes a liquid by the density formula of OIML R 22.
///
/// # Errors
/// [`AlcoholometryError`] naming `vol`, `mass`, `mole`, `proof`, `density`, `at` or a deviation.
pub fn describe(input: LiquidInput) -> Result<Liquid, AlcoholometryError> {
    let LiquidInput { basis, celsius, basis_sd, celsius_sd } = input;
    let bound = basis.bound();
    Bound::deviation(bound.high - bound.low, bound.unit).named("deviation", basis_sd)?;
    Bound::deviation(20.0, "K").named("at-sd", celsius_sd)?;
    let p = basis.mass_fraction(celsius)?;
    let readings = [
        Reading { value: basis.value(), sd: basis_sd, low: bound.low, high: bound.high },
        Reading {
            value: celsius,
            sd: celsius_sd,
            low: density::CELSIUS_LOW,
            high: density::CELSIUS_HIGH,
        },
    ];
    let [strength_sd, density_sd_kg_m3] = propagate(&readings, |x| {
        let p = basis.with(x[0]).mass_fraction(x[1])?;
        Ok([100.0 * kernel::vol20_from_mass_fraction(p), kernel::density_kg_m3(p, x[1])])
    })?;
    let density_kg_m3 = kernel::density_kg_m3(p, celsius);
    let density_20c_kg_m3 = Isotherm::AT_20C.density_kg_m3(p);
    Ok(Liquid {
        strength_vol_20c: 100.0 * kernel::vol20_from_mass_fraction(p),
        strength_sd,
        mass_percent: 100.0 * p,
        mole_fraction: kernel::mole_fraction_from_mass_fraction(p),
        proof_60f: strength::proof_60f(p),
        density_kg_m3,
        density_sd_kg_m3,
        density_20c_kg_m3,
        litres_at_t_per_litre_20c: density_20c_kg_m3 / density_kg_m3,
    })
}
