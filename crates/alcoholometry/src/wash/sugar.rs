//! Kinds of sugar and what one gram of each can become, by the equation of Gay-Lussac:
//! one hexose gives two ethanol and two carbon dioxide.

use crate::kernel::{ETHANOL_MOLAR_MASS_G_MOL, WATER_MOLAR_MASS_G_MOL};

/// Molar mass of carbon dioxide, g/mol (IUPAC atomic weights).
pub const CO2_MOLAR_MASS_G_MOL: f64 = 44.0095;
/// Molar mass of a hexose, g/mol: the sum of what it ferments to.
pub const HEXOSE_MOLAR_MASS_G_MOL: f64 = 2.0 * (ETHANOL_MOLAR_MASS_G_MOL + CO2_MOLAR_MASS_G_MOL);
/// Grams of carbon dioxide that leave with each gram of ethanol made.
pub const CO2_PER_ETHANOL: f64 = CO2_MOLAR_MASS_G_MOL / ETHANOL_MOLAR_MASS_G_MOL;
/// Grams of ethanol from one gram of hexose.
const ETHANOL_PER_HEXOSE: f64 = 2.0 * ETHANOL_MOLAR_MASS_G_MOL / HEXOSE_MOLAR_MASS_G_MOL;

/// What the kilograms of sugar are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SugarKind {
    /// Household sugar: takes up a molecule of water and becomes two hexoses.
    Sucrose,
    /// Glucose without water.
    Dextrose,
    /// Glucose with its molecule of crystal water, as dextrose is mostly sold.
    DextroseMonohydrate,
    /// Dissolved fermentable solids of a fruit or grain wash, counted as hexose.
    Extract,
}

impl SugarKind {
    /// Every kind, in the order commands list them.
    pub const ALL: [Self; 4] =
        [Self::Sucrose, Self::Dextrose, Self::DextroseMonohydrate, Self::Extract];

    /// The name commands and forms use.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Sucrose => "sucrose",
            Self::Dextrose => "dextrose",
            Self::DextroseMonohydrate => "dextrose-monohydrate",
            Self::Extract => "extract",
        }
    }

    /// The kind of that name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.name() == name)
    }

    /// Grams that dissolve as sugar from one gram bought; the rest is water.
    #[must_use]
    pub const fn extract_share(self) -> f64 {
        match self {
            Self::Sucrose | Self::Dextrose | Self::Extract => 1.0,
            Self::DextroseMonohydrate => {
                HEXOSE_MOLAR_MASS_G_MOL / (HEXOSE_MOLAR_MASS_G_MOL + WATER_MOLAR_MASS_G_MOL)
            }
        }
    }

    /// Grams of ethanol from one gram bought when all of it ferments to ethanol.
    #[must_use]
    pub const fn ethanol_yield(self) -> f64 {
        match self {
            Self::Dextrose | Self::Extract => ETHANOL_PER_HEXOSE,
            Self::DextroseMonohydrate => ETHANOL_PER_HEXOSE * self.extract_share(),
            Self::Sucrose => {
                4.0 * ETHANOL_MOLAR_MASS_G_MOL
                    / (2.0 * HEXOSE_MOLAR_MASS_G_MOL - WATER_MOLAR_MASS_G_MOL)
            }
        }
    }
}
