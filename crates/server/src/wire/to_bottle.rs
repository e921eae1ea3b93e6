//! Steps down and bottles as they are asked for and told.

use finishing::bottling::{Counted, Labelled, Tank};
use finishing::fill::Filled;
use finishing::profile::Profile;
use finishing::steps::{Step, Steps};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Spirit to be brought down in steps.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct StepsAsk {
    /// Litres, at `celsius`.
    pub(crate) litres: f64,
    /// Its strength, % vol.
    pub(crate) from: f64,
    /// Strength wanted, % vol.
    pub(crate) to: f64,
    /// Temperature of spirit and water, °C; 20 where absent.
    #[serde(default)]
    pub(crate) celsius: Option<f64>,
    /// In how many steps; 1 where absent.
    #[serde(default)]
    pub(crate) steps: Option<u32>,
    /// Hours of rest after each; 24 where absent.
    #[serde(default)]
    pub(crate) rest_hours: Option<f64>,
    /// True strength gauged after the steps that are done, % vol.
    #[serde(default)]
    pub(crate) gauged: Vec<f64>,
}

/// One step down.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct StepDownWire {
    /// Counted from 1.
    pub number: usize,
    /// Strength before it, % vol.
    pub from: f64,
    /// Strength aimed at, % vol.
    pub to: f64,
    /// First pour, kg of water.
    pub pour_kg: f64,
    /// Strength after it, % vol.
    pub poured_to: f64,
    /// Trim, kg of water; the gauge decides.
    pub trim_kg: f64,
    /// Standard deviation of the trim, kg.
    pub trim_kg_sd: f64,
    /// Litres at 20 °C after it.
    pub litres_20c: f64,
    /// What a balance shows after it, kg.
    pub shown_kg: f64,
    /// Volume lost by mixing, %.
    pub contraction_percent: f64,
    /// Warming, K.
    pub warming_k: Option<f64>,
    /// What a glass shows while it is that warm, % vol.
    pub warm_reading_vol: Option<f64>,
    /// Hours of rest after it.
    pub rest_hours: f64,
    /// Standard deviation of the strength after it, % vol.
    pub strength_sd: f64,
    /// What was gauged after it, % vol.
    pub gauged: Option<f64>,
}

/// A reduction in steps.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct StepsAnswer {
    /// Its steps.
    pub steps: Vec<StepDownWire>,
    /// All the water, kg.
    pub water_kg: f64,
    /// Litres of pure alcohol.
    pub pure_alcohol_l: f64,
    /// The same by the last gauge.
    pub pure_alcohol_now_l: f64,
    /// Standard deviation of their difference, L.
    pub difference_sd_l: f64,
    /// Whether it may turn hazy.
    pub may_haze: bool,
    /// Hours of rest in all.
    pub hours: f64,
}

impl From<&Step> for StepDownWire {
    fn from(step: &Step) -> Self {
        Self {
            number: step.number,
            from: step.from,
            to: step.to,
            pour_kg: step.pour_kg,
            poured_to: step.poured_to,
            trim_kg: step.trim_kg,
            trim_kg_sd: step.trim_kg_sd,
            litres_20c: step.litres_20c,
            shown_kg: step.shown_kg,
            contraction_percent: step.contraction_percent,
            warming_k: step.warming_k,
            warm_reading_vol: step.warm_reading_vol,
            rest_hours: step.rest_hours,
            strength_sd: step.strength_sd,
            gauged: step.gauged,
        }
    }
}

impl From<&Steps> for StepsAnswer {
    fn from(of: &Steps) -> Self {
        Self {
            steps: of.steps.iter().map(Into::into).collect(),
            water_kg: of.water_kg,
            pure_alcohol_l: of.pure_alcohol_l,
            pure_alcohol_now_l: of.pure_alcohol_now_l,
            difference_sd_l: of.difference_sd_l,
            may_haze: of.may_haze,
            hours: of.hours,
        }
    }
}

/// A tank to be bottled.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct BottlingAsk {
    /// Litres in the tank at 20 °C.
    pub(crate) litres: f64,
    /// What a glass of 20 °C reads, % vol.
    pub(crate) reading: f64,
    /// Temperature at gauge and filling, °C.
    pub(crate) celsius: f64,
    /// One division of the glass, % vol.
    pub(crate) step_vol: f64,
    /// How many glasses and thermometers of their own gauged it; 1 where absent.
    #[serde(default)]
    pub(crate) glasses: Option<u32>,
    /// What the label says, % vol.
    pub(crate) label: f64,
    /// Nominal content, mL.
    pub(crate) size_ml: f64,
    /// Whose rules hold.
    pub(crate) country: String,
    /// How much over is aimed at, mL; 0 where absent.
    #[serde(default)]
    pub(crate) over_ml: Option<f64>,
    /// Bottles counted in the end.
    #[serde(default)]
    pub(crate) counted: Option<u32>,
}

/// What a lot of bottles comes to.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct BottlingAnswer {
    /// True strength, % vol.
    pub(crate) strength_vol: f64,
    /// Standard deviation, % vol.
    pub(crate) strength_sd: f64,
    /// How far the label may be off, % vol.
    pub(crate) label_tolerance_vol: f64,
    /// Chance that the lot is within it.
    pub(crate) chance_label: f64,
    /// How near the gauge must be to the label for it to be sure, % vol; none where it never is.
    pub(crate) room_vol: Option<f64>,
    /// Label that fits best, % vol.
    pub(crate) best_label_vol: f64,
    /// Where the rule is published.
    pub(crate) label_source: &'static str,
    /// What the balance must show of one bottle's spirit, kg.
    pub(crate) fill_kg: f64,
    /// What fills it at this temperature, mL.
    pub(crate) fill_ml: f64,
    /// How far a fill may be off, mL.
    pub(crate) fill_tolerance_ml: f64,
    /// Chance that the lot is filled as asked.
    pub(crate) chance_fill: f64,
    /// Mean to aim at for it to be sure, mL.
    pub(crate) mean_wanted_ml: Option<f64>,
    /// Where the rule is published.
    pub(crate) fill_source: &'static str,
    /// Whether that is from memory, not read again.
    pub(crate) fill_from_memory: bool,
    /// Bottles that the tank gives.
    pub(crate) bottles: u32,
    /// Litres left over.
    pub(crate) left_over_l: f64,
    /// Litres of pure alcohol in the bottles.
    pub(crate) pure_alcohol_l: f64,
    /// Litres that the count does not explain.
    pub(crate) unexplained_l: Option<f64>,
    /// Standard deviation, L.
    pub(crate) unexplained_sd_l: f64,
    /// Countries to ask by.
    pub(crate) countries: Vec<&'static str>,
}

impl BottlingAnswer {
    /// A lot, put together.
    pub(crate) fn new(
        profile: &Profile,
        tank: Tank,
        label: &Labelled,
        fill: &Filled,
        count: &Counted,
    ) -> Self {
        Self {
            strength_vol: tank.strength_vol,
            strength_sd: tank.strength_sd,
            label_tolerance_vol: profile.strength.tolerance,
            chance_label: label.chance,
            room_vol: label.room_vol,
            best_label_vol: label.best_label_vol,
            label_source: profile.strength.source,
            fill_kg: fill.shown_g / 1000.0,
            fill_ml: fill.ml_at_celsius,
            fill_tolerance_ml: profile.fill.tolerance,
            chance_fill: fill.chance_lot,
            mean_wanted_ml: fill.mean_wanted_ml,
            fill_source: profile.fill.source,
            fill_from_memory: profile.fill.from_memory,
            bottles: count.bottles,
            left_over_l: count.left_over_l,
            pure_alcohol_l: count.pure_alcohol_l,
            unexplained_l: count.unexplained_l,
            unexplained_sd_l: count.unexplained_sd_l,
            countries: finishing::profile::countries(),
        }
    }
}
