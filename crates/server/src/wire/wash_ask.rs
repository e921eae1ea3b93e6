//! What may be written of a wash.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::record::EnteredWire;
use super::wash_recipe::WashRecipeWire;
use crate::problem::ApiError;

/// Whose washes.
#[derive(Debug, Clone, Copy, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(crate) struct WashesAsk {
    /// Those of the example house.
    #[serde(default)]
    pub(crate) example: bool,
}

/// A wash to be opened.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct OpenWashAsk {
    /// Its recipe.
    pub(crate) recipe: WashRecipeWire,
    /// Its numbers as they were typed, where that was in other units.
    #[serde(default)]
    pub(crate) entered: Vec<EnteredWire>,
    /// In the example house.
    #[serde(default)]
    pub(crate) example: bool,
    /// Who.
    #[serde(default)]
    pub(crate) by: Option<String>,
    /// Sent again with the same key, nothing changes.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// A wash folder to be taken in.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ImportWashAsk {
    /// Its files by name: wash.toml, readings.csv, and perhaps float.csv and actions.csv.
    pub(crate) files: BTreeMap<String, String>,
    /// Into the example house.
    #[serde(default)]
    pub(crate) example: bool,
    /// Who.
    #[serde(default)]
    pub(crate) by: Option<String>,
    /// Sent again with the same key, nothing changes.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// Something that was read.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct WashReadingAsk {
    /// When, ms of UTC; absent = now.
    #[serde(default)]
    pub(crate) at_ms: Option<i64>,
    /// Specific gravity as read.
    #[serde(default)]
    pub(crate) gravity: Option<f64>,
    /// Temperature of the sample, °C.
    #[serde(default)]
    pub(crate) temperature_c: Option<f64>,
    /// Fermenter and wash together, kg.
    #[serde(default)]
    pub(crate) weight_kg: Option<f64>,
    /// Acidity.
    #[serde(default)]
    pub(crate) ph: Option<f64>,
    /// The sample was cooled: its temperature is not that of the wash.
    #[serde(default)]
    pub(crate) cooled: bool,
    /// No taste of sugar.
    #[serde(default)]
    pub(crate) no_sugar: Option<bool>,
    /// The gas has nearly stopped.
    #[serde(default)]
    pub(crate) gas_stopped: Option<bool>,
    /// Its numbers as they were typed, where that was in other units.
    #[serde(default)]
    pub(crate) entered: Vec<EnteredWire>,
    /// A remark.
    #[serde(default)]
    pub(crate) note: String,
    /// The entry in whose place this one stands.
    #[serde(default)]
    pub(crate) corrects: Option<i64>,
    /// Who.
    #[serde(default)]
    pub(crate) by: Option<String>,
    /// Sent again with the same key, nothing changes.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// A moment of a floating sensor.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct WashFloatAsk {
    /// When, ms of UTC; absent = now.
    #[serde(default)]
    pub(crate) at_ms: Option<i64>,
    /// Gravity by its own calibration.
    #[serde(default)]
    pub(crate) gravity: Option<f64>,
    /// The same in degrees Plato, of a sensor that counts in them; never both.
    #[serde(default)]
    pub(crate) plato: Option<f64>,
    /// Temperature of the wash, °C.
    #[serde(default)]
    pub(crate) temperature_c: Option<f64>,
}

/// What a floating sensor sent.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct WashFloatsAsk {
    /// 1 to 1000 of them.
    pub(crate) rows: Vec<WashFloatAsk>,
    /// Sent again with the same key, nothing changes.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// What probes of a wash read at a moment.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct WashProbesRowAsk {
    /// When, ms of UTC; absent = now.
    #[serde(default)]
    pub(crate) at_ms: Option<i64>,
    /// Temperature of the wash, °C.
    #[serde(default)]
    pub(crate) temperature_c: Option<f64>,
    /// Gravity of a floating sensor, by its own calibration.
    #[serde(default)]
    pub(crate) gravity: Option<f64>,
    /// Acidity.
    #[serde(default)]
    pub(crate) ph: Option<f64>,
    /// Fermenter and wash together, kg.
    #[serde(default)]
    pub(crate) weight_kg: Option<f64>,
}

/// What probes of a wash read.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct WashProbesAsk {
    /// 1 to 1000 of them, times not running backwards.
    pub(crate) rows: Vec<WashProbesRowAsk>,
    /// Sent again with the same key, nothing changes.
    #[serde(default)]
    pub(crate) key: Option<String>,
    /// With a device's token, instead of `key`: counted up by the device. The same number with the same
    /// rows, sent again, changes nothing.
    #[serde(default)]
    pub(crate) sequence: Option<u64>,
    /// With `sequence`: what the device calls its present start, 1 to 16 letters and digits.
    #[serde(default)]
    pub(crate) boot: Option<String>,
}

/// What became of readings of probes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct WashProbesWire {
    /// The wash that takes them: its name in the record.
    pub(crate) wash: String,
    /// Values that are in its log now.
    pub(crate) kept: usize,
    /// Values that say nothing new: one like it was kept a short time before.
    pub(crate) passed_over: usize,
    /// Values that cannot be true.
    pub(crate) impossible: usize,
}

/// Something that was done.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct WashActAsk {
    /// When, ms of UTC; absent = now.
    #[serde(default)]
    pub(crate) at_ms: Option<i64>,
    /// `nutrient`, `yeast`, `chalk` (grams), `heater` (°C), `moved`, `pitch`.
    pub(crate) action: String,
    /// How much.
    #[serde(default)]
    pub(crate) value: Option<f64>,
    /// Its numbers as they were typed, where that was in other units.
    #[serde(default)]
    pub(crate) entered: Vec<EnteredWire>,
    /// A remark.
    #[serde(default)]
    pub(crate) note: String,
    /// The entry in whose place this one stands.
    #[serde(default)]
    pub(crate) corrects: Option<i64>,
    /// Who.
    #[serde(default)]
    pub(crate) by: Option<String>,
    /// Sent again with the same key, nothing changes.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// An entry that does not hold.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct StrikeWashAsk {
    /// Its number.
    pub(crate) entry: i64,
    /// Why.
    pub(crate) reason: String,
    /// Who.
    #[serde(default)]
    pub(crate) by: Option<String>,
    /// Sent again with the same key, nothing changes.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// Another recipe.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct WashRecipeAsk {
    /// As it is, back to the pitching.
    pub(crate) recipe: WashRecipeWire,
    /// Its numbers as they were typed, where that was in other units.
    #[serde(default)]
    pub(crate) entered: Vec<EnteredWire>,
    /// Why it was changed.
    pub(crate) reason: String,
    /// Who.
    #[serde(default)]
    pub(crate) by: Option<String>,
    /// Sent again with the same key, nothing changes.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// A wash that becomes a charge; what is absent is taken from its forecast.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ChargeWashAsk {
    /// Litres at 20 °C.
    #[serde(default)]
    pub(crate) litres: Option<f64>,
    /// Their standard deviation.
    #[serde(default)]
    pub(crate) litres_sd: Option<f64>,
    /// Strength, % vol at 20 °C.
    #[serde(default)]
    pub(crate) strength_vol: Option<f64>,
    /// Its standard deviation, % vol.
    #[serde(default)]
    pub(crate) strength_sd: Option<f64>,
    /// Its lot in the account; absent = the name of the wash in the record.
    #[serde(default)]
    pub(crate) lot: Option<String>,
    /// Who: an entry of the account must say it.
    #[serde(default)]
    pub(crate) by: Option<String>,
    /// Sent again with the same key, nothing changes.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

/// A wash that is poured away.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct PourWashAsk {
    /// Why.
    pub(crate) reason: String,
    /// Who.
    #[serde(default)]
    pub(crate) by: Option<String>,
    /// Sent again with the same key, nothing changes.
    #[serde(default)]
    pub(crate) key: Option<String>,
}

impl WashFloatAsk {
    /// Its gravity, however it counts.
    pub(crate) fn counted_gravity(self) -> Result<Option<f64>, ApiError> {
        let Some(plato) = self.plato else { return Ok(self.gravity) };
        if self.gravity.is_some() {
            let hint = "send the one that the sensor counts in";
            return Err(ApiError::field("plato", plato, "must not stand beside gravity", hint));
        }
        let found = alcoholometry::wash::gravity::of_plato("plato", plato);
        let refused = |error: alcoholometry::AlcoholometryError| {
            ApiError::field("plato", plato, error.to_string(), "degrees Plato, as 12.5")
        };
        found.map(Some).map_err(refused)
    }
}
