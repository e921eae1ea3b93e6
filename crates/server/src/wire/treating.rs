//! Carbon, maceration and casks as they are asked for and told.

use finishing::cask::{Cask, Climate, Regauged, Year};
use finishing::maceration::Macerated;
use finishing::treatment::Treated;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::knowledge::BandWire;

/// A spirit to be treated with carbon; without a bed, carbon is stirred in.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct CarbonAsk {
    /// Litres at 20 °C.
    pub(crate) litres: f64,
    /// % vol.
    pub(crate) vol: f64,
    /// The bed it goes through.
    #[serde(default)]
    pub(crate) bed: Option<BedAsk>,
}

/// A bed of carbon.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct BedAsk {
    /// Inner width, mm.
    pub(crate) diameter: f64,
    /// Height of the carbon, m.
    pub(crate) height: f64,
    /// How fast the spirit runs through, L/h.
    pub(crate) flow: f64,
    /// Water pushed through after it, L; 0 where absent.
    #[serde(default)]
    pub(crate) rinse: f64,
}

/// What the carbon does.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct CarbonAnswer {
    /// Carbon in it, g.
    pub(crate) carbon_g: f64,
    /// Carbon this spirit asks for, g.
    pub(crate) wanted_g: f64,
    /// Contact, min.
    pub(crate) contact_min: f64,
    /// Liquid it holds, L.
    pub(crate) held_litres: f64,
    /// How long it takes, h.
    pub(crate) hours: f64,
    /// Pure alcohol that stays in it, L.
    pub(crate) lost_l: f64,
    /// Standard deviation of that, L.
    pub(crate) lost_l_sd: f64,
    /// Litres at 20 °C that come out.
    pub(crate) out_litres_20c: f64,
    /// Their strength, % vol.
    pub(crate) out_strength_vol: f64,
    /// What speaks against it.
    pub(crate) doubts: Vec<String>,
    /// What carbon does and does not.
    pub(crate) words: &'static str,
}

impl From<Treated> for CarbonAnswer {
    fn from(of: Treated) -> Self {
        Self {
            carbon_g: of.carbon_g,
            wanted_g: of.wanted_g,
            contact_min: of.contact_min,
            held_litres: of.held_litres,
            hours: of.hours,
            lost_l: of.lost_l,
            lost_l_sd: of.lost_l_sd,
            out_litres_20c: of.out_litres_20c,
            out_strength_vol: of.out_strength_vol,
            doubts: of.doubts,
            words: finishing::carbon::WORDS,
        }
    }
}

/// Solids in a spirit.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct MacerateAsk {
    /// Litres of spirit at 20 °C.
    pub(crate) litres: f64,
    /// % vol.
    pub(crate) vol: f64,
    /// Botanicals or fruit, kg.
    pub(crate) solids: f64,
    /// Water in them, % of their weight.
    pub(crate) water: f64,
    /// Liquid that stays in them when drained, L per kg.
    pub(crate) held: f64,
    /// Sugar and extract in the end, g/L.
    pub(crate) extract: f64,
}

/// What a maceration gives.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct MacerateAnswer {
    /// % vol once the water of the solids is in it.
    pub(crate) strength_vol: f64,
    /// Litres that drain off at 20 °C.
    pub(crate) litres: f64,
    /// Litres of pure alcohol in them.
    pub(crate) pure_alcohol_l: f64,
    /// Litres of pure alcohol that stay in the solids.
    pub(crate) lost_l: f64,
    /// What a glass shows, % vol; none where no glass floats rightly.
    pub(crate) glass_reads_vol: Option<f64>,
    /// By how much that is too low, % vol.
    pub(crate) obscuration_vol: Option<f64>,
    /// Whether a sample must be distilled to gauge it.
    pub(crate) distil_to_gauge: bool,
    /// What speaks against it.
    pub(crate) doubts: Vec<String>,
}

impl From<Macerated> for MacerateAnswer {
    fn from(of: Macerated) -> Self {
        Self {
            strength_vol: of.strength_vol,
            litres: of.litres,
            pure_alcohol_l: of.pure_alcohol_l,
            lost_l: of.lost_l,
            glass_reads_vol: of.glass_reads_vol,
            obscuration_vol: of.obscuration_vol,
            distil_to_gauge: of.distil_to_gauge,
            doubts: of.doubts,
        }
    }
}

/// A cask that was filled.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct CaskAsk {
    /// Litres filled, at 20 °C.
    pub(crate) litres: f64,
    /// % vol filled.
    pub(crate) vol: f64,
    /// What it holds when full, L.
    pub(crate) holds: f64,
    /// Years to look ahead, from the fill.
    pub(crate) years: f64,
    /// The store, as `cool`.
    pub(crate) climate: String,
    /// Relative humidity of its air, %.
    pub(crate) humidity: f64,
    /// What it held when it was gauged again.
    #[serde(default)]
    pub(crate) regauged: Option<RegaugeAsk>,
}

/// A cask gauged again.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct RegaugeAsk {
    /// Years after the fill.
    pub(crate) years: f64,
    /// Litres at 20 °C.
    pub(crate) litres: f64,
    /// % vol.
    pub(crate) vol: f64,
}

/// A cask after some years.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct CaskYearWire {
    /// Years from the fill.
    pub(crate) years: f64,
    /// Litres at 20 °C.
    pub(crate) litres_20c: BandWire,
    /// % vol.
    pub(crate) strength_vol: BandWire,
    /// What the angels took, L of pure alcohol.
    pub(crate) share_l: BandWire,
}

/// What a regauge says of a cask.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub(crate) struct RegaugedWire {
    /// Lost since the fill, L of pure alcohol.
    pub(crate) lost_l: f64,
    /// A year, % of the pure alcohol.
    pub(crate) percent_a_year: f64,
    /// Change of strength a year, % vol.
    pub(crate) strength_a_year: f64,
    /// Whether that is more than such a store should take.
    pub(crate) is_above_usual: bool,
    /// Whether there is more than was filled: a gauge is wrong.
    pub(crate) is_gain: bool,
}

/// A kind of store.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub(crate) struct ClimateWire {
    /// The word to ask by.
    pub(crate) climate: &'static str,
    /// As read.
    pub(crate) words: &'static str,
}

/// A cask looked ahead.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct CaskAnswer {
    /// Filled, L of pure alcohol.
    pub(crate) pure_alcohol_l: f64,
    /// Room left above it, L.
    pub(crate) ullage_l: f64,
    /// Year by year.
    pub(crate) years: Vec<CaskYearWire>,
    /// What the regauge says.
    pub(crate) regauged: Option<RegaugedWire>,
    /// Where the usual losses are published.
    pub(crate) source: &'static str,
    /// Whether that is a judgement.
    pub(crate) from_memory: bool,
    /// Stores to ask by.
    pub(crate) climates: Vec<ClimateWire>,
}

impl CaskAnswer {
    /// A cask, put together.
    pub(crate) fn new(pure_alcohol_l: f64, store: &Climate, cask: &Cask) -> Self {
        let year = |of: &Year| CaskYearWire {
            years: of.years,
            litres_20c: (&of.litres_20c).into(),
            strength_vol: (&of.strength_vol).into(),
            share_l: (&of.share_l).into(),
        };
        let regauged = |of: Regauged| RegaugedWire {
            lost_l: of.lost_l,
            percent_a_year: of.percent_a_year,
            strength_a_year: of.strength_a_year,
            is_above_usual: of.is_above_usual,
            is_gain: of.is_gain,
        };
        let climate = |one: Climate| ClimateWire { climate: one.name, words: one.words };
        Self {
            pure_alcohol_l,
            ullage_l: cask.ullage_l,
            years: cask.years.iter().map(year).collect(),
            regauged: cask.regauged.map(regauged),
            source: store.source,
            from_memory: store.from_memory,
            climates: finishing::cask::climates().map(climate).collect(),
        }
    }
}
