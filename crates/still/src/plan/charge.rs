//! What goes into the boiler, and which part of it came as feints of an earlier run.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// What kind of liquid is charged: chooses the default congeners.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum ChargeKind {
    /// Fermented sugar.
    #[serde(rename = "sugar wash")]
    SugarWash,
    /// Fermented grain.
    #[serde(rename = "grain wash")]
    GrainWash,
    /// Fermented fruit.
    #[serde(rename = "fruit wash")]
    FruitWash,
    /// The product of a stripping run.
    #[serde(rename = "low wines")]
    LowWines,
}

/// What goes into the boiler.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Charge {
    /// Kind of liquid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kind: Option<ChargeKind>,
    /// Litres at 20 °C.
    pub litres: f64,
    /// Strength, % vol at 20 °C.
    pub strength_vol: f64,
    /// Temperature at heater on, °C.
    pub temperature_c: f64,
    /// Standard deviation of the litres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub litres_sd: Option<f64>,
    /// Standard deviation of the strength, % vol.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strength_sd: Option<f64>,
    /// Congeners by name, mg per litre of charge; absent = defaults by kind; present: one not
    /// named is not there at all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub congeners_mg_per_l: Option<BTreeMap<String, f64>>,
    /// Which part of it came as feints of an earlier run; absent = none, or not said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub feints: Option<FeintsPart>,
}

/// The part of a charge that is feints. It is in the litres and the strength of the charge: here
/// stands where it came from.
///
/// What feints bring of congeners is not known and is not guessed from it: name the congeners of the
/// charge where an analysis tells them.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FeintsPart {
    /// Litres at 20 °C.
    pub litres: f64,
    /// Strength, % vol at 20 °C.
    pub strength_vol: f64,
}

impl FeintsPart {
    /// Pure alcohol, L.
    #[must_use]
    pub fn pure_alcohol_l(&self) -> f64 {
        self.litres * self.strength_vol / 100.0
    }
}
