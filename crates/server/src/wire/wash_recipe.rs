//! The recipe of a wash on the wire: the keys of `wash.toml`, as JSON.

use ferment::Recipe;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::problem::ApiError;

/// What the wash is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub(crate) enum WashKindWire {
    /// Sugar and water.
    Sugar,
    /// Molasses.
    Molasses,
    /// Fruit or its juice.
    Fruit,
    /// Malt and grain.
    Grain,
}

/// A fermentable by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub(crate) enum MaterialWire {
    /// Household sugar.
    #[serde(rename = "sucrose")]
    Sucrose,
    /// Dextrose with its crystal water.
    #[serde(rename = "dextrose monohydrate")]
    Dextrose,
    /// Molasses, with its sugar.
    #[serde(rename = "molasses")]
    Molasses,
    /// Malt and grain, with extract and mash.
    #[serde(rename = "malt and grain")]
    Grain,
    /// Juice, with litres and degrees Brix.
    #[serde(rename = "fruit juice")]
    Juice,
}

/// What yeast.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub(crate) enum YeastKindWire {
    /// Baker's yeast.
    #[serde(rename = "baker's")]
    Baker,
    /// Ale yeast.
    #[serde(rename = "ale")]
    Ale,
    /// Wine yeast.
    #[serde(rename = "wine")]
    Wine,
    /// Distiller's yeast.
    #[serde(rename = "distiller's")]
    Distiller,
}

/// One fermentable.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct FermentableWire {
    /// What it is.
    name: MaterialWire,
    /// Kilograms as bought.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    kg: Option<f64>,
    /// Sugar in molasses, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    sugar_percent: Option<f64>,
    /// Extract of malt and grain, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    extract_percent: Option<f64>,
    /// How much of it the mash wins, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    mash_efficiency_percent: Option<f64>,
    /// Temperature of the mash, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    mash_c: Option<f64>,
    /// Enzyme was added, or the wash was not boiled.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    enzyme: Option<bool>,
    /// Litres of juice.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    litres: Option<f64>,
    /// Degrees Brix of the juice.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    brix: Option<f64>,
}

/// The yeast.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct WashYeastWire {
    /// What kind.
    kind: YeastKindWire,
    /// Grams, dry.
    grams: f64,
}

/// A planned dose of nutrient.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct WashNutrientWire {
    /// When, hours from pitching.
    at_h: f64,
    /// What it is called.
    name: String,
    /// Grams.
    grams: f64,
    /// Yeast-assimilable nitrogen, mg per gram.
    yan_mg_per_g: f64,
}

/// Chalk or shell grit from the start.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct WashBufferWire {
    /// `chalk` or `shell grit`.
    name: String,
}

/// Where the wash stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct WashRoomWire {
    /// A guess of the air around, °C.
    ambient_c: f64,
    /// The vessel is insulated.
    insulated: bool,
    /// What a heater is set to, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    heater_c: Option<f64>,
    /// Its power, W.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    heater_w: Option<f64>,
    /// Air in the room, m³: for the gas that gathers in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    volume_m3: Option<f64>,
}

/// How the wash is read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct WashGlassWire {
    /// Temperature at which the glass is true, °C.
    hydrometer_true_at_c: f64,
    /// The finest step that is written down.
    hydrometer_step: f64,
    /// Millilitres each gravity reading takes out.
    #[serde(default)]
    sample_discarded_ml: f64,
    /// The empty fermenter, kg, where it is weighed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    fermenter_empty_kg: Option<f64>,
}

/// A wash as it was planned.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct WashRecipeWire {
    /// Version of the format: 1.
    format: u32,
    /// What the wash is called.
    #[serde(default)]
    title: String,
    /// When the yeast was pitched, with its zone (RFC 3339); empty = now.
    #[serde(default)]
    pub(crate) start: String,
    /// What it is made of.
    kind: WashKindWire,
    /// Litres at 20 °C before fermentation, as believed.
    litres: f64,
    /// What ferments.
    fermentable: Vec<FermentableWire>,
    /// The yeast.
    yeast: WashYeastWire,
    /// Planned doses.
    #[serde(default)]
    nutrient: Vec<WashNutrientWire>,
    /// Chalk or shell grit from the start.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    buffer: Option<WashBufferWire>,
    /// Where it stands.
    room: WashRoomWire,
    /// How it is read.
    reading: WashGlassWire,
}

impl WashRecipeWire {
    /// As the forecast takes it: the keys are the same.
    pub(crate) fn recipe(&self) -> Result<Recipe, ApiError> {
        let value = serde_json::to_value(self);
        value.and_then(serde_json::from_value).map_err(|error| ApiError::Body {
            field: Some("recipe".to_owned()),
            what: error.to_string(),
        })
    }

    /// Of a recipe.
    pub(crate) fn of(recipe: &Recipe) -> Result<Self, ApiError> {
        let value = serde_json::to_value(recipe);
        value
            .and_then(serde_json::from_value)
            .map_err(|error| ApiError::Inside { what: format!("recipe: {error}") })
    }
}
