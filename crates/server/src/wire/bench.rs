//! Questions and answers of the bench, with the field names of the command line's JSON.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The scale in a glass.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum ScaleWire {
    /// % vol, glass true at 20 °C.
    #[default]
    Vol20,
    /// % vol, glass true at 60 °F.
    Vol60,
    /// US proof, glass true at 60 °F.
    Proof60,
    /// Density, kg/m³, glass true at 20 °C.
    Density,
}

/// What the glass reads.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct GaugeAsk {
    /// The reading, in the unit of its scale.
    pub(crate) reading: f64,
    /// Temperature of the spirit, °C.
    pub(crate) celsius: f64,
    /// The scale in the glass.
    #[serde(default)]
    pub(crate) scale: ScaleWire,
    /// Standard deviation of the reading.
    #[serde(default)]
    pub(crate) reading_sd: Option<f64>,
    /// Standard deviation of the temperature, K.
    #[serde(default)]
    pub(crate) celsius_sd: Option<f64>,
}

/// What it is.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct GaugeAnswer {
    /// True strength, % vol at 20 °C.
    pub(crate) strength_vol_20c: f64,
    /// Its standard deviation, % vol.
    pub(crate) strength_sd: f64,
    /// % by mass.
    pub(crate) mass_percent: f64,
    /// US proof at 60 °F.
    pub(crate) proof_60f: f64,
    /// kg/m³ at 20 °C.
    pub(crate) density_20c_kg_m3: f64,
}

/// Spirit to be brought down with water.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ReduceAsk {
    /// Litres of spirit, at `celsius`.
    pub(crate) litres: f64,
    /// Its strength, % vol.
    pub(crate) from: f64,
    /// Strength wanted, % vol.
    pub(crate) to: f64,
    /// Temperature of spirit and water, °C; absent = 20.
    #[serde(default)]
    pub(crate) celsius: Option<f64>,
}

/// The water to add.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct ReduceAnswer {
    /// kg of water.
    pub(crate) water_kg: f64,
    /// Litres of water at 20 °C.
    pub(crate) water_l_20c: f64,
    /// Litres of product at 20 °C.
    pub(crate) product_l_20c: f64,
    /// Shrinkage, % of what was put together.
    pub(crate) contraction_percent: f64,
    /// Warming, K; none beyond the temperatures it is known for.
    pub(crate) warming_k: Option<f64>,
    /// Litres of water that the rule of three would add.
    pub(crate) naive_water_l: f64,
    /// Water to stop at, kg, before it is cooled, gauged and trimmed.
    pub(crate) first_pour_kg: Option<f64>,
}

/// Parts to be put together.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct BlendAsk {
    /// The parts.
    pub(crate) parts: Vec<PartWire>,
}

/// One part.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct PartWire {
    /// Litres at 20 °C.
    pub(crate) litres: f64,
    /// % vol.
    pub(crate) strength_vol: f64,
}

/// What they make.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct BlendAnswer {
    /// Litres at 20 °C.
    pub(crate) litres_20c: f64,
    /// % vol at 20 °C.
    pub(crate) strength_vol_20c: f64,
    /// Litres of pure alcohol.
    pub(crate) pure_alcohol_l: f64,
    /// kg.
    pub(crate) mass_kg: f64,
    /// Shrinkage, %.
    pub(crate) contraction_percent: f64,
}

/// A liquid of ethanol and water, told by exactly one of its strengths.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct LiquidAsk {
    /// % vol at 20 °C.
    #[serde(default)]
    pub(crate) vol: Option<f64>,
    /// % by mass.
    #[serde(default)]
    pub(crate) mass: Option<f64>,
    /// Mole fraction.
    #[serde(default)]
    pub(crate) mole: Option<f64>,
    /// US proof at 60 °F.
    #[serde(default)]
    pub(crate) proof: Option<f64>,
    /// kg/m³ at `celsius`.
    #[serde(default)]
    pub(crate) density: Option<f64>,
    /// Its temperature, °C; absent = 20.
    #[serde(default)]
    pub(crate) celsius: Option<f64>,
    /// Pressure at which it boils, hPa; absent = 1013.25.
    #[serde(default)]
    pub(crate) pressure_hpa: Option<f64>,
}

/// Everything about it.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct LiquidAnswer {
    /// % vol at 20 °C.
    pub(crate) strength_vol_20c: f64,
    /// % by mass.
    pub(crate) mass_percent: f64,
    /// Mole fraction of ethanol.
    pub(crate) mole_fraction: f64,
    /// US proof at 60 °F.
    pub(crate) proof_60f: f64,
    /// kg/m³ at its temperature.
    pub(crate) density_kg_m3: f64,
    /// kg/m³ at 20 °C.
    pub(crate) density_20c_kg_m3: f64,
    /// Litres at its temperature per litre at 20 °C.
    pub(crate) litres_at_t_per_litre_20c: f64,
    /// Boiling temperature, °C.
    pub(crate) boiling_c: f64,
    /// Ethanol in its vapour, mole fraction.
    pub(crate) vapour_mole_fraction: f64,
    /// % vol of its condensed vapour.
    pub(crate) vapour_strength_vol: f64,
}
