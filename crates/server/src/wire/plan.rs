//! A run's plan on the wire: the keys of `run.toml`, as JSON.

use std::collections::BTreeMap;

use super::twin::Twin;
use serde::{Deserialize, Serialize};
use still::plan::{
    Charge, ChargeKind, FeintsPart, HeadPlace, HeatSource, RunPlan, Site, Step, StepKind, Still,
    StillKind,
};
use utoipa::ToSchema;

/// A run as it is planned.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct RunPlanWire {
    /// Version of the format: 1, or 2 where readings have columns that came with it.
    pub(crate) format: u32,
    /// What the person calls this run.
    pub(crate) title: String,
    /// Heater on, or planned: a timestamp with its zone offset (RFC 3339).
    pub(crate) start: String,
    /// The apparatus.
    pub(crate) still: StillWire,
    /// What goes into the boiler.
    pub(crate) charge: ChargeWire,
    /// Where the still stands.
    pub(crate) site: SiteWire,
    /// The steps in order: `heat` first, `stop` last.
    pub(crate) step: Vec<StepWire>,
}

/// Pot head or reflux column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum StillKindWire {
    /// A bare head.
    Pot,
    /// A reflux column.
    Column,
}

/// What heats the boiler.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum HeatSourceWire {
    /// Elements or a plate.
    #[default]
    Electric,
    /// Steam in a jacket or coil.
    Steam,
    /// A gas burner.
    Gas,
    /// An open fire.
    Fire,
}

/// Where the head thermometer sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum HeadPlaceWire {
    /// In the vapour that becomes the spirit.
    #[default]
    Above,
    /// Below a partial condenser, in the vapour that enters it.
    Below,
}

/// The apparatus.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct StillWire {
    /// What the person calls it.
    pub(crate) name: String,
    /// Pot head or reflux column.
    pub(crate) kind: StillKindWire,
    /// Boiler volume, L.
    pub(crate) boiler_litres: f64,
    /// What heats the boiler; absent = electric.
    #[serde(default)]
    pub(crate) heat_source: HeatSourceWire,
    /// Each heating element, W; of steam, gas or fire none where nobody knows.
    pub(crate) elements_watts: Vec<f64>,
    /// Liquid that must stay over the elements, L.
    pub(crate) element_cover_litres: f64,
    /// Believed contact stages, the pot not counted.
    pub(crate) stages: f64,
    /// Murphree vapour efficiency of each stage; only with whole stages.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) efficiency: Option<f64>,
    /// Temperature of subcooled reflux, °C; absent = bubble point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) reflux_c: Option<f64>,
    /// Share of the spirit drawn that never reaches the jars, as vapour; absent = none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) vapour_lost: Option<f64>,
    /// Liquid held in column and drum, L.
    pub(crate) holdup_litres: f64,
    /// Share of the hold-up that is in the drum.
    pub(crate) drum_fraction: f64,
    /// Heat lost by the boiler, W/K above ambient.
    pub(crate) boiler_loss_w_per_k: f64,
    /// Heat lost by the column, W/K above ambient.
    pub(crate) column_loss_w_per_k: f64,
    /// Heat capacity of the boiler metal, kJ/K.
    pub(crate) metal_kj_per_k: f64,
    /// Heat capacity of the column metal, kJ/K.
    pub(crate) column_metal_kj_per_k: f64,
    /// Pressure drop per stage, Pa.
    pub(crate) pressure_drop_pa_per_stage: f64,
    /// Where the head thermometer sits; absent = above.
    #[serde(default)]
    pub(crate) head_place: HeadPlaceWire,
    /// Share of the packed height, from its foot, at which the thermometer in the column sits; absent =
    /// none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) column_probe_fraction: Option<f64>,
    /// A check on the plan, mL/min.
    pub(crate) max_takeoff_ml_per_min: f64,
}

/// Kind of liquid charged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub(crate) enum ChargeKindWire {
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
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ChargeWire {
    /// Kind of liquid: chooses the default congeners.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) kind: Option<ChargeKindWire>,
    /// Litres at 20 °C.
    pub(crate) litres: f64,
    /// Strength, % vol at 20 °C.
    pub(crate) strength_vol: f64,
    /// Temperature at heater on, °C.
    pub(crate) temperature_c: f64,
    /// Standard deviation of the litres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) litres_sd: Option<f64>,
    /// Standard deviation of the strength, % vol.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) strength_sd: Option<f64>,
    /// Congeners by name, mg per litre of charge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) congeners_mg_per_l: Option<BTreeMap<String, f64>>,
    /// Which part of it came as feints of an earlier run: where its alcohol came from, no more.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) feints: Option<FeintsPartWire>,
}

/// The part of a charge that is feints: it is in its litres and its strength.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct FeintsPartWire {
    /// Litres at 20 °C.
    pub(crate) litres: f64,
    /// Strength, % vol at 20 °C.
    pub(crate) strength_vol: f64,
}

/// Where the still stands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct SiteWire {
    /// Station pressure, hPa.
    pub(crate) pressure_hpa: f64,
    /// Ambient temperature, °C.
    pub(crate) ambient_c: f64,
    /// Coolant inlet temperature, °C.
    pub(crate) coolant_in_c: f64,
    /// Coolant flow, L/min.
    pub(crate) coolant_l_per_min: f64,
}

/// What a step does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum StepKindWire {
    /// From heater on until the stages are filled.
    Heat,
    /// Total reflux.
    Equalise,
    /// The first runnings, to be discarded.
    Foreshots,
    /// The early fraction.
    Heads,
    /// The clean middle; a second one in a row is the slow phase.
    Hearts,
    /// The late fraction.
    Tails,
    /// Heater off.
    Stop,
}

/// One step of the plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct StepWire {
    /// What it does.
    #[serde(rename = "do")]
    pub(crate) kind: StepKindWire,
    /// Heater power, W; absent = as before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) watts: Option<f64>,
    /// Reflux ratio while drawing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) reflux_ratio: Option<f64>,
    /// Duty of the partial condenser while drawing, W.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) reflux_watts: Option<f64>,
    /// Take-off while drawing, mL/min at 20 °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) takeoff_ml_per_min: Option<f64>,
    /// Longest duration, min.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) minutes: Option<f64>,
    /// The step's own volume at 20 °C, mL.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) until_ml: Option<f64>,
    /// Head rise above this run's plateau, K.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) until_rise_k: Option<f64>,
    /// Strength falling to this, % vol.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) until_strength_vol: Option<f64>,
    /// Pot temperature rising to this, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) until_pot_c: Option<f64>,
    /// Everything drawn since heat, mL at 20 °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) until_total_ml: Option<f64>,
}

/// Writes both directions of a conversion between enums with the same variants.
macro_rules! twins {
    ($wire:ident, $inner:ident, $($variant:ident),+) => {
        impl From<$inner> for $wire {
            fn from(value: $inner) -> Self {
                match value { $($inner::$variant => Self::$variant),+ }
            }
        }
        impl From<$wire> for $inner {
            fn from(value: $wire) -> Self {
                match value { $($wire::$variant => Self::$variant),+ }
            }
        }
    };
}
twins!(StillKindWire, StillKind, Pot, Column);
twins!(HeatSourceWire, HeatSource, Electric, Steam, Gas, Fire);
twins!(HeadPlaceWire, HeadPlace, Above, Below);
twins!(ChargeKindWire, ChargeKind, SugarWash, GrainWash, FruitWash, LowWines);
impl Twin<StepKindWire> for StepKind {
    fn twin(&self) -> StepKindWire {
        (*self).into()
    }
}
twins!(StepKindWire, StepKind, Heat, Equalise, Foreshots, Heads, Hearts, Tails, Stop);

/// Writes both directions of a conversion between structs with the same fields.
macro_rules! twin_fields {
    ($wire:ident, $inner:ident, $($field:ident),+ $(; $renamed:ident = $of:ident)?) => {
        impl From<$inner> for $wire {
            fn from(value: $inner) -> Self {
                Self {
                    $($field: value.$field.into(),)+
                    $($renamed: value.$of.into_iter().map(Into::into).collect(),)?
                }
            }
        }
        impl From<$wire> for $inner {
            fn from(value: $wire) -> Self {
                Self {
                    $($field: value.$field.into(),)+
                    $($of: value.$renamed.into_iter().map(Into::into).collect(),)?
                }
            }
        }
    };
}
twin_fields!(RunPlanWire, RunPlan, format, title, start, still, charge, site; step = steps);
twin_fields!(SiteWire, Site, pressure_hpa, ambient_c, coolant_in_c, coolant_l_per_min);
twin_fields!(
    StillWire,
    Still,
    name,
    kind,
    boiler_litres,
    heat_source,
    elements_watts,
    element_cover_litres,
    stages,
    efficiency,
    reflux_c,
    vapour_lost,
    holdup_litres,
    drum_fraction,
    boiler_loss_w_per_k,
    column_loss_w_per_k,
    metal_kj_per_k,
    column_metal_kj_per_k,
    pressure_drop_pa_per_stage,
    head_place,
    column_probe_fraction,
    max_takeoff_ml_per_min
);
twin_fields!(
    StepWire,
    Step,
    kind,
    watts,
    reflux_ratio,
    reflux_watts,
    takeoff_ml_per_min,
    minutes,
    until_ml,
    until_rise_k,
    until_strength_vol,
    until_pot_c,
    until_total_ml
);

impl From<Charge> for ChargeWire {
    fn from(value: Charge) -> Self {
        Self {
            kind: value.kind.map(Into::into),
            litres: value.litres,
            strength_vol: value.strength_vol,
            temperature_c: value.temperature_c,
            litres_sd: value.litres_sd,
            strength_sd: value.strength_sd,
            congeners_mg_per_l: value.congeners_mg_per_l,
            feints: value
                .feints
                .map(|FeintsPart { litres, strength_vol }| FeintsPartWire { litres, strength_vol }),
        }
    }
}

impl From<ChargeWire> for Charge {
    fn from(value: ChargeWire) -> Self {
        Self {
            kind: value.kind.map(Into::into),
            litres: value.litres,
            strength_vol: value.strength_vol,
            temperature_c: value.temperature_c,
            litres_sd: value.litres_sd,
            strength_sd: value.strength_sd,
            congeners_mg_per_l: value.congeners_mg_per_l,
            feints: value
                .feints
                .map(|FeintsPartWire { litres, strength_vol }| FeintsPart { litres, strength_vol }),
        }
    }
}
