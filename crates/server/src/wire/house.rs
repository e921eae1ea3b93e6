//! The house on the wire: the bundled example and the person's own still.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::measured::MeasuredWire;
use super::plan::{HeadPlaceWire, HeatSourceWire, RunPlanWire, StillKindWire, StillWire};
use super::record::EnteredWire;

/// The example house and the person's own still.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct HouseWire {
    /// Bundled and read-only.
    pub(crate) example: ExampleWire,
    /// The person's own still, once told.
    pub(crate) own: Option<OwnStillWire>,
    /// The server's offset from UTC now, minutes east.
    pub(crate) zone_offset_minutes: i32,
}

/// The bundled example house.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct ExampleWire {
    /// What it is called.
    pub(crate) name: String,
    /// Its plans.
    pub(crate) plans: Vec<ExamplePlanWire>,
}

/// A plan of the example house.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct ExamplePlanWire {
    /// Which one.
    pub(crate) id: String,
    /// The plan.
    #[serde(flatten)]
    pub(crate) plan: RunPlanWire,
}

/// The person's own still and what of it was assumed.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct OwnStillWire {
    /// The whole still.
    pub(crate) still: StillWire,
    /// Names of the keys that were assumed.
    pub(crate) defaulted: Vec<String>,
    /// What was measured.
    pub(crate) measured: MeasuredWire,
    /// From what each assumed key follows.
    pub(crate) derived: Vec<DerivedWire>,
    /// Power to heat up with, W.
    pub(crate) heat_w: f64,
    /// Power to run with, W: what the column carries, or a share of the elements.
    pub(crate) run_w: f64,
}

/// From what a key of the still follows.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct DerivedWire {
    /// The key.
    pub(crate) key: String,
    /// From what, in words.
    pub(crate) from: String,
}

/// What a person says about their own still.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct OwnStillAsk {
    /// What they call it.
    pub(crate) name: String,
    /// Pot head or reflux column.
    pub(crate) kind: StillKindWire,
    /// Boiler volume, L.
    pub(crate) boiler_litres: f64,
    /// What heats the boiler.
    #[serde(default)]
    pub(crate) heat_source: HeatSourceWire,
    /// Each heating element, W; of steam, gas or fire none where nobody knows.
    pub(crate) elements_watts: Vec<f64>,
    /// Where the head thermometer sits.
    #[serde(default)]
    pub(crate) head_place: HeadPlaceWire,
    /// What was measured; what was not is assumed.
    #[serde(default)]
    pub(crate) measured: MeasuredWire,
    /// Keys of the still that are known better than the defaults.
    #[serde(default)]
    pub(crate) overrides: BTreeMap<String, f64>,
}

/// A plan kept under a name, on every device.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct KeptPlanWire {
    /// What it is called.
    pub(crate) name: String,
    /// The plan.
    pub(crate) plan: RunPlanWire,
    /// To keep it: its numbers as they were typed, where that was in other units.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(crate) entered: Vec<EnteredWire>,
}

/// Which plan.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(crate) struct KeptPlanAsk {
    /// What it is called.
    pub(crate) name: String,
}
