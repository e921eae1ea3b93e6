//! What a recipe comes to by itself: its gravity, its nitrogen, its yeast, the heat it will give.

use crate::liquid::{extract, planned_gravity};
use crate::recipe::Recipe;

/// Heat of a kilogram of fermented sugar, MJ (from memory: 0.55 to 0.6).
const HEAT_MJ_PER_KG: f64 = 0.575;
/// Heat that warms a litre of wash by a kelvin, MJ (from memory: somewhat less than water).
const WASH_MJ_PER_L_K: f64 = 0.004;

/// A recipe in numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Planned {
    /// Gravity before fermentation.
    pub original_gravity: f64,
    /// Extract, g in a litre of wash.
    pub extract_g_per_l: f64,
    /// Yeast-assimilable nitrogen of the doses, mg/L; what grain or fruit bring is not in it.
    pub nitrogen_mg_per_l: f64,
    /// Dry yeast, g/L.
    pub yeast_g_per_l: f64,
    /// Heat the fermentation gives, MJ, were all of the extract to ferment.
    pub heat_mj: f64,
    /// By how much that would warm the wash if none were lost, K.
    pub warming_k: f64,
}

impl Planned {
    /// Of a recipe that was checked.
    #[must_use]
    pub fn of(recipe: &Recipe) -> Self {
        let kg = extract(recipe).kg;
        let doses = recipe.nutrients.iter().map(|dose| dose.grams * dose.yan_mg_per_g);
        let heat_mj = HEAT_MJ_PER_KG * kg;
        Self {
            original_gravity: planned_gravity(recipe),
            extract_g_per_l: 1000.0 * kg / recipe.litres,
            nitrogen_mg_per_l: doses.sum::<f64>() / recipe.litres,
            yeast_g_per_l: recipe.yeast.grams / recipe.litres,
            heat_mj,
            warming_k: heat_mj / (WASH_MJ_PER_L_K * recipe.litres),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Planned;
    use crate::forecast::sample_recipe;

    /// Diammonium phosphate is 21.2 % nitrogen (its formula): 1 g/L gives 212 mg/L. 180 g of sugar in
    /// a litre stand at 1.069 (tables of sugar solutions); 170 g/L would warm it by some 24 K.
    #[test]
    fn val_a_recipe_in_numbers() {
        let planned = Planned::of(&sample_recipe());
        assert!((planned.nitrogen_mg_per_l - 212.0).abs() < 1e-9);
        assert!((planned.original_gravity - 1.0690).abs() < 0.001, "{planned:?}");
        assert!((planned.warming_k * 170.0 / planned.extract_g_per_l - 24.0).abs() < 1.5);
    }
}
