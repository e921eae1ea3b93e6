//! What is dissolved in a wash, and its gravity and strength.

use alcoholometry::density::{ETHANOL_DENSITY_20C_KG_M3, Isotherm, WATER_DENSITY_20C_KG_M3};
use alcoholometry::wash::{SugarKind, balling, gravity};

use crate::recipe::{Material, Recipe, RecipeError, within};

/// Kilograms of extract and what they weigh as hexose, by the recipe.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Extract {
    /// Fermentable and other dissolved matter, kg.
    pub(crate) kg: f64,
    /// Of that not sugar by its label, kg.
    pub(crate) other_kg: f64,
    /// Hexose that its sugars become, kg.
    pub(crate) hexose_kg: f64,
    /// Of the hexose, from glucose bought as such.
    pub(crate) dextrose_kg: f64,
}

/// Dissolved matter of molasses that is no sugar, share of its mass (judgement: 15 to 25 %).
const MOLASSES_OTHER: f64 = 0.20;

/// What the recipe dissolves.
pub(crate) fn extract(recipe: &Recipe) -> Extract {
    let mut sum = Extract::default();
    let disaccharide = SugarKind::Sucrose.ethanol_yield() / SugarKind::Dextrose.ethanol_yield();
    for item in &recipe.fermentables {
        let kg = item.kg.unwrap_or(0.0);
        let percent = |value: Option<f64>| value.unwrap_or(0.0) / 100.0;
        let (sugar, other, hexose, dextrose) = match item.name {
            Material::Sucrose => (kg, 0.0, kg * disaccharide, 0.0),
            Material::DextroseMonohydrate => {
                let dry = kg * SugarKind::DextroseMonohydrate.extract_share();
                (dry, 0.0, dry, dry)
            }
            Material::Molasses => {
                let sugar = kg * percent(item.sugar_percent);
                (sugar, kg * MOLASSES_OTHER, sugar * 1.03, 0.0)
            }
            Material::Grain => {
                let dry =
                    kg * percent(item.extract_percent) * percent(item.mash_efficiency_percent);
                (dry, 0.0, dry * disaccharide, 0.0)
            }
            Material::FruitJuice => {
                let brix = percent(item.brix);
                let dry =
                    item.litres.unwrap_or(0.0) * brix * gravity::density_20c_kg_m3(brix) / 1000.0;
                (dry, 0.0, dry, 0.0)
            }
        };
        sum.kg += sugar + other;
        sum.other_kg += other;
        sum.hexose_kg += hexose;
        sum.dextrose_kg += dextrose;
    }
    sum
}

/// Density of a solution that holds so many g of extract in a litre, g/L: the slope of the density
/// of sugar solutions with their content, straight within 0.1 kg/m³ up to 250 g/L.
pub(crate) fn solution_g_l(extract_g_l: f64) -> f64 {
    let trial = WATER_DENSITY_20C_KG_M3 + 0.386 * extract_g_l;
    gravity::density_20c_kg_m3((extract_g_l / trial).min(gravity::SUGAR_MASS_FRACTION_HIGH))
}

/// Free protons at a pH, mmol/L.
pub(crate) fn protons(ph: f64) -> f64 {
    1000.0 * (-std::f64::consts::LN_10 * ph).exp()
}

/// Original gravity the recipe promises.
pub(crate) fn planned_gravity(recipe: &Recipe) -> f64 {
    solution_g_l(1000.0 * extract(recipe).kg / recipe.litres) / WATER_DENSITY_20C_KG_M3
}

/// A litre of wash as it was before fermentation, somewhere on its way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Liquid {
    /// What it weighed before, g.
    pub(crate) begun_g: f64,
    /// Still dissolved, g.
    pub(crate) extract_g: f64,
    /// Ethanol made, g.
    pub(crate) ethanol_g: f64,
}

impl Liquid {
    fn mass_g(&self) -> f64 {
        self.begun_g - balling::CO2_PER_ETHANOL * self.ethanol_g
    }

    /// Specific gravity 20/20, by Tabarié's rule.
    pub(crate) fn gravity(&self) -> f64 {
        let mass = self.mass_g();
        Isotherm::AT_20C.density_kg_m3(self.ethanol_g / mass) / WATER_DENSITY_20C_KG_M3
            + gravity::specific_gravity(self.extract_g / mass)
            - 1.0
    }

    /// Strength, % vol at 20 °C.
    pub(crate) fn strength_vol(&self) -> f64 {
        let litres = self.mass_g() / (self.gravity() * WATER_DENSITY_20C_KG_M3);
        100.0 * self.ethanol_g / ETHANOL_DENSITY_20C_KG_M3 / litres
    }
}

impl Recipe {
    /// Refuses what cannot be: each value by itself, and what they come to together.
    ///
    /// # Errors
    /// [`RecipeError`] naming the key, the value, the bound and a hint.
    pub fn check(&self) -> Result<(), RecipeError> {
        self.check_values()?;
        let gravity = planned_gravity(self);
        let hint = "compare kilograms and litres: so much does not ferment";
        within("litres", gravity, (1.005, 1.25), "original gravity by the recipe", hint)
    }
}
