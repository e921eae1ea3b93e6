//! The recipe: what a `wash.toml` says, and what of it cannot be.

use serde::{Deserialize, Serialize};

/// What the wash is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Material {
    /// Household sugar.
    #[serde(rename = "sucrose")]
    Sucrose,
    /// Dextrose with its crystal water.
    #[serde(rename = "dextrose monohydrate")]
    DextroseMonohydrate,
    /// Molasses, with its sugar in per cent.
    #[serde(rename = "molasses")]
    Molasses,
    /// Malt and grain, with extract and mash.
    #[serde(rename = "malt and grain")]
    Grain,
    /// Fruit juice, with litres and degrees Brix.
    #[serde(rename = "fruit juice")]
    FruitJuice,
}

/// One fermentable.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fermentable {
    /// What it is.
    pub name: Material,
    /// Kilograms as bought.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kg: Option<f64>,
    /// Sugar in molasses, per cent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sugar_percent: Option<f64>,
    /// Extract of malt and grain, per cent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub extract_percent: Option<f64>,
    /// How much of the extract the mash wins, per cent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mash_efficiency_percent: Option<f64>,
    /// Temperature of the mash, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mash_c: Option<f64>,
    /// Enzyme was added, or the wash was not boiled.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub enzyme: Option<bool>,
    /// Litres of juice.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub litres: Option<f64>,
    /// Degrees Brix of the juice.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub brix: Option<f64>,
}

/// What yeast.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum YeastKind {
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

/// The yeast.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Yeast {
    /// What kind.
    pub kind: YeastKind,
    /// Grams, dry.
    pub grams: f64,
}

/// A planned dose of nutrient.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Nutrient {
    /// When, hours from pitching.
    pub at_h: f64,
    /// What it is called.
    pub name: String,
    /// Grams.
    pub grams: f64,
    /// Yeast-assimilable nitrogen, mg per gram.
    pub yan_mg_per_g: f64,
}

/// Chalk or shell grit from the start.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Buffer {
    /// `chalk` or `shell grit`.
    pub name: String,
}

/// Where the wash stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Room {
    /// A guess of the air around, °C.
    pub ambient_c: f64,
    /// The vessel is insulated.
    pub insulated: bool,
    /// What a heater is set to, °C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heater_c: Option<f64>,
    /// Its power, W.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heater_w: Option<f64>,
    /// Air in the room, m³: for the gas that gathers in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volume_m3: Option<f64>,
}

/// How the wash is read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// Temperature at which the glass is true, °C.
    pub hydrometer_true_at_c: f64,
    /// The finest step that is written down.
    pub hydrometer_step: f64,
    /// Millilitres each gravity reading takes out.
    #[serde(default)]
    pub sample_discarded_ml: f64,
    /// The empty fermenter, kg, where it is weighed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fermenter_empty_kg: Option<f64>,
}

/// A wash as it was planned.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Recipe {
    /// Version of the file: 1.
    pub format: u32,
    /// What the wash is called.
    #[serde(default)]
    pub title: String,
    /// When the yeast was pitched, as written.
    #[serde(default)]
    pub start: String,
    /// What it is made of.
    pub kind: Kind,
    /// Litres at 20 °C before fermentation, as believed.
    pub litres: f64,
    /// What ferments.
    #[serde(rename = "fermentable")]
    pub fermentables: Vec<Fermentable>,
    /// The yeast.
    pub yeast: Yeast,
    /// Planned doses.
    #[serde(rename = "nutrient", default)]
    pub nutrients: Vec<Nutrient>,
    /// Chalk or shell grit from the start.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub buffer: Option<Buffer>,
    /// Where it stands.
    pub room: Room,
    /// How it is read.
    pub reading: Reading,
}

/// A value of a recipe that cannot be.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{field} = {value}: {bound}")]
pub struct RecipeError {
    /// Path of the key, as `fermentable[2].kg`.
    pub field: String,
    /// What stands there.
    pub value: String,
    /// What is allowed.
    pub bound: String,
    /// What to do.
    pub hint: &'static str,
}

/// Most fermentables or doses of one recipe.
const LISTED_MAX: usize = 50;

pub(crate) fn within(
    field: impl Into<String>,
    value: f64,
    (low, high): (f64, f64),
    unit: &str,
    hint: &'static str,
) -> Result<(), RecipeError> {
    if value >= low && value <= high {
        return Ok(());
    }
    let bound = format!("must lie from {low} to {high} {unit}").trim_end().to_owned();
    Err(RecipeError { field: field.into(), value: value.to_string(), bound, hint })
}

fn needed(field: String, value: Option<f64>, hint: &'static str) -> Result<f64, RecipeError> {
    value.ok_or_else(|| RecipeError {
        field,
        value: "nothing".to_owned(),
        bound: "must be given for this fermentable".to_owned(),
        hint,
    })
}

const PERCENT: (f64, f64) = (1.0, 100.0);

impl Fermentable {
    fn check(&self, place: usize) -> Result<(), RecipeError> {
        let key = |name: &str| format!("fermentable[{place}].{name}");
        let kilograms = || -> Result<(), RecipeError> {
            let hint = "kilograms as bought";
            within(key("kg"), needed(key("kg"), self.kg, hint)?, (0.001, 10_000.0), "kg", hint)
        };
        let percent = |name: &str, value: Option<f64>, hint: &'static str| {
            within(key(name), needed(key(name), value, hint)?, PERCENT, "%", hint)
        };
        match self.name {
            Material::Sucrose | Material::DextroseMonohydrate => kilograms()?,
            Material::Molasses => {
                kilograms()?;
                percent(
                    "sugar_percent",
                    self.sugar_percent,
                    "sugar in the molasses, from its label",
                )?;
            }
            Material::Grain => {
                kilograms()?;
                percent("extract_percent", self.extract_percent, "78 is usual for malt")?;
                let hint = "70 is usual for a home mash";
                percent("mash_efficiency_percent", self.mash_efficiency_percent, hint)?;
                if let Some(mash_c) = self.mash_c {
                    within(key("mash_c"), mash_c, (40.0, 85.0), "°C", "62 to 68 is usual")?;
                }
            }
            Material::FruitJuice => {
                let hint = "litres of juice";
                let litres = needed(key("litres"), self.litres, hint)?;
                within(key("litres"), litres, (0.01, 10_000.0), "L", hint)?;
                let hint = "degrees Brix as the refractometer or glass reads before fermentation";
                within(
                    key("brix"),
                    needed(key("brix"), self.brix, hint)?,
                    (0.5, 65.0),
                    "°Brix",
                    hint,
                )?;
            }
        }
        Ok(())
    }
}

impl Recipe {
    /// Refuses what cannot be.
    ///
    /// # Errors
    /// [`RecipeError`] naming the key, the value, the bound and a hint.
    pub(crate) fn check_values(&self) -> Result<(), RecipeError> {
        within("format", f64::from(self.format), (1.0, 1.0), "", "this program reads format = 1")?;
        let hint = "litres of the whole wash at 20 °C before fermentation";
        within("litres", self.litres, (0.5, 10_000.0), "L", hint)?;
        let listed = (1.0, LISTED_MAX as f64);
        let hint = "name what ferments in [[fermentable]]";
        within("fermentable", self.fermentables.len() as f64, listed, "entries", hint)?;
        for (index, fermentable) in self.fermentables.iter().enumerate() {
            fermentable.check(index + 1)?;
        }
        within("yeast.grams", self.yeast.grams, (0.01, 50_000.0), "g", "grams of dry yeast")?;
        let hint = "join doses of one hour";
        within("nutrient", self.nutrients.len() as f64, (0.0, listed.1), "entries", hint)?;
        for (index, dose) in self.nutrients.iter().enumerate() {
            let key = |name: &str| format!("nutrient[{}].{name}", index + 1);
            within(key("at_h"), dose.at_h, (0.0, 2000.0), "h", "hours from pitching")?;
            within(key("grams"), dose.grams, (0.0, 50_000.0), "g", "grams of the dose")?;
            let hint = "mg of assimilable nitrogen per gram: 212 for DAP";
            within(key("yan_mg_per_g"), dose.yan_mg_per_g, (0.0, 500.0), "mg/g", hint)?;
        }
        self.check_place()
    }

    fn check_place(&self) -> Result<(), RecipeError> {
        let hint = "the air around the fermenter, °C";
        within("room.ambient_c", self.room.ambient_c, (-20.0, 50.0), "°C", hint)?;
        if let Some(set) = self.room.heater_c {
            within("room.heater_c", set, (5.0, 50.0), "°C", "what the heater is set to")?;
        }
        if let Some(power) = self.room.heater_w {
            within("room.heater_w", power, (1.0, 10_000.0), "W", "the power on its plate")?;
        }
        if let Some(volume) = self.room.volume_m3 {
            let hint = "length times width times height of the room, in metres";
            within("room.volume_m3", volume, (1.0, 100_000.0), "m³", hint)?;
        }
        let reading = &self.reading;
        let (key, value) = ("reading.hydrometer_true_at_c", reading.hydrometer_true_at_c);
        within(key, value, (10.0, 30.0), "°C", "20 on most glasses, 15 or 15.56 on some")?;
        let (key, value) = ("reading.hydrometer_step", reading.hydrometer_step);
        within(key, value, (0.0001, 0.01), "", "0.001 or 0.002 is usual")?;
        let (key, value) = ("reading.sample_discarded_ml", reading.sample_discarded_ml);
        within(key, value, (0.0, 1000.0), "mL", "0 where the sample is put back")?;
        if let Some(kg) = reading.fermenter_empty_kg {
            within("reading.fermenter_empty_kg", kg, (0.01, 1000.0), "kg", "the empty vessel")?;
        }
        Ok(())
    }
}
