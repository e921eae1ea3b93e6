//! What a person measured at a still of their own, on the wire.

use serde::{Deserialize, Serialize};
use still::plan::{Filling, Measured, Metal};
use utoipa::ToSchema;

/// What stands in a column.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum FillingWire {
    /// Rolls of knitted wire.
    Knitted,
    /// Loose pieces of this size, mm.
    Pieces(f64),
    /// Folded sheets with this surface, m² in each m³.
    Sheets(f64),
    /// So many plates.
    Plates(u32),
}

/// What walls are made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum MetalWire {
    /// Stainless steel.
    Steel,
    /// Copper.
    Copper,
}

/// What was measured at a still; what was not is assumed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(default, deny_unknown_fields)]
pub(crate) struct MeasuredWire {
    /// Inner diameter of the column, mm.
    pub(crate) diameter_mm: Option<f64>,
    /// Height of the packing, or of all plates, mm.
    pub(crate) height_mm: Option<f64>,
    /// Height of the thermometer in the column over the foot of the packing, mm.
    pub(crate) column_probe_mm: Option<f64>,
    /// What stands in it.
    pub(crate) filling: Option<FillingWire>,
    /// Whether column or head are wrapped.
    pub(crate) column_lagged: Option<bool>,
    /// Whether the boiler is wrapped.
    pub(crate) boiler_lagged: Option<bool>,
    /// What the walls are made of.
    pub(crate) metal: Option<MetalWire>,
}

impl From<MeasuredWire> for Measured {
    fn from(wire: MeasuredWire) -> Self {
        let MeasuredWire {
            diameter_mm,
            height_mm,
            column_probe_mm,
            filling,
            column_lagged,
            boiler_lagged,
            metal,
        } = wire;
        let filling = filling.map(|filling| match filling {
            FillingWire::Knitted => Filling::Knitted,
            FillingWire::Pieces(mm) => Filling::Pieces(mm),
            FillingWire::Sheets(area) => Filling::Sheets(area),
            FillingWire::Plates(count) => Filling::Plates(count),
        });
        let metal = metal.map(|metal| match metal {
            MetalWire::Steel => Metal::Steel,
            MetalWire::Copper => Metal::Copper,
        });
        Self {
            diameter_mm,
            height_mm,
            column_probe_mm,
            filling,
            column_lagged,
            boiler_lagged,
            metal,
        }
    }
}

impl From<Measured> for MeasuredWire {
    fn from(measured: Measured) -> Self {
        let Measured {
            diameter_mm,
            height_mm,
            column_probe_mm,
            filling,
            column_lagged,
            boiler_lagged,
            metal,
        } = measured;
        let filling = filling.map(|filling| match filling {
            Filling::Knitted => FillingWire::Knitted,
            Filling::Pieces(mm) => FillingWire::Pieces(mm),
            Filling::Sheets(area) => FillingWire::Sheets(area),
            Filling::Plates(count) => FillingWire::Plates(count),
        });
        let metal = metal.map(|metal| match metal {
            Metal::Steel => MetalWire::Steel,
            Metal::Copper => MetalWire::Copper,
        });
        Self {
            diameter_mm,
            height_mm,
            column_probe_mm,
            filling,
            column_lagged,
            boiler_lagged,
            metal,
        }
    }
}
