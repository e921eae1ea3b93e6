//! Jars, cuts, steps and bottles as they are asked for and told.

use finishing::bottling::{Counted, Labelled, Tank};
use finishing::congeners::{METHANOL_WORDS, Milligrams, Substance, g_per_hl_pa};
use finishing::cuts::{Against, Cuts, Lot, Move};
use finishing::fill::Filled;
use finishing::jar::Jar;
use finishing::profile::Profile;
use finishing::steps::{Step, Steps};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

/// Which jars are in, and against which limits.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(crate) struct CutsAsk {
    /// The jars that are in, as `3,4,5`; those recorded as hearts where absent.
    #[serde(default)]
    pub(crate) jars: Option<String>,
    /// The category whose limits hold; `general` where absent.
    #[serde(default)]
    pub(crate) category: Option<String>,
    /// A round to smell blind, in the order that this number gives.
    #[serde(default)]
    pub(crate) seed: Option<u32>,
}

/// Grams per hectolitre of pure alcohol, predicted by the run's model.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub(crate) struct CongenersWire {
    /// Methanol.
    pub(crate) methanol: f64,
    /// Ethyl acetate.
    pub(crate) ethyl_acetate: f64,
    /// Acetaldehyde.
    pub(crate) acetaldehyde: f64,
    /// Propanol, isobutanol and the amyl alcohols together.
    pub(crate) higher_alcohols: f64,
}

impl From<[f64; 4]> for CongenersWire {
    fn from([methanol, ethyl_acetate, acetaldehyde, higher_alcohols]: [f64; 4]) -> Self {
        Self { methanol, ethyl_acetate, acetaldehyde, higher_alcohols }
    }
}

/// A gauged jar.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct GaugedJarWire {
    /// Its number.
    pub(crate) number: u32,
    /// The fraction it was filled as.
    pub(crate) cut: Option<&'static str>,
    /// What the nose said.
    pub(crate) note: String,
    /// Whether it is in.
    pub(crate) is_in: bool,
    /// Litres at 20 °C.
    pub(crate) litres_20c: f64,
    /// % vol at 20 °C.
    pub(crate) strength_vol: f64,
    /// Standard deviation, % vol.
    pub(crate) strength_sd: f64,
    /// Litres of pure alcohol.
    pub(crate) pure_alcohol_l: f64,
    /// Standard deviation, L.
    pub(crate) pure_alcohol_l_sd: f64,
    /// What the model says of it.
    pub(crate) congeners: Option<CongenersWire>,
}

/// What several jars come to.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct LotWire {
    /// The jars.
    pub(crate) jars: Vec<u32>,
    /// Litres at 20 °C.
    pub(crate) litres_20c: f64,
    /// Standard deviation, L.
    pub(crate) litres_20c_sd: f64,
    /// % vol at 20 °C.
    pub(crate) strength_vol: f64,
    /// Standard deviation, % vol.
    pub(crate) strength_sd: f64,
    /// Litres of pure alcohol.
    pub(crate) pure_alcohol_l: f64,
    /// Standard deviation, L.
    pub(crate) pure_alcohol_l_sd: f64,
    /// Predicted congeners.
    pub(crate) congeners: Option<CongenersWire>,
}

/// A substance against its limit, g per hL of pure alcohol.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct AgainstWire {
    /// Of what.
    pub(crate) substance: &'static str,
    /// Its name as read.
    pub(crate) words: &'static str,
    /// Predicted.
    pub(crate) predicted: f64,
    /// Lower end of the range that holds 4 in 5.
    pub(crate) low: f64,
    /// Upper end.
    pub(crate) high: f64,
    /// The most.
    pub(crate) limit: f64,
    /// `within`, `over` or `cannot be told`.
    pub(crate) verdict: &'static str,
    /// Whose limit it is.
    pub(crate) of: &'static str,
    /// Where it is published.
    pub(crate) source: &'static str,
    /// Whether it is from memory, not read again.
    pub(crate) from_memory: bool,
}

/// One jar more, or less.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct MoveWire {
    /// The jar.
    pub(crate) jar: u32,
    /// Whether it is taken in; else left out.
    pub(crate) takes_in: bool,
    /// Change of the pure alcohol, L.
    pub(crate) pure_alcohol_l: f64,
    /// What changes most.
    pub(crate) changes_most: Option<&'static str>,
    /// From, g per hL of pure alcohol.
    pub(crate) from: Option<f64>,
    /// To.
    pub(crate) to: Option<f64>,
    /// Whether that passes a limit.
    pub(crate) passes_limit: bool,
    /// Whether no other move does more harm.
    pub(crate) is_worst: bool,
}

/// A glass of a round to smell blind.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct GlassWire {
    /// What stands on it.
    pub(crate) letter: String,
    /// The jar it was filled from.
    pub(crate) jar: u32,
}

/// A category of spirit with limits.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct CategoryWire {
    /// The word to ask by.
    pub(crate) category: &'static str,
    /// As read.
    pub(crate) words: &'static str,
}

/// The jars of a run, cut.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct CutsWire {
    /// The jars that were gauged.
    pub(crate) jars: Vec<GaugedJarWire>,
    /// Numbers of those that were not gauged with a temperature.
    pub(crate) left_out: Vec<u32>,
    /// What is in; none where no jar is.
    pub(crate) hearts: Option<LotWire>,
    /// Its share of the pure alcohol charged.
    pub(crate) share_of_charge: Option<f64>,
    /// What stays for the next charge.
    pub(crate) feints: Option<LotWire>,
    /// What is thrown away.
    pub(crate) discarded: Option<LotWire>,
    /// Against the limits.
    pub(crate) against: Vec<AgainstWire>,
    /// What each jar beside a cut would change.
    pub(crate) moves: Vec<MoveWire>,
    /// A round to smell blind.
    pub(crate) glasses: Vec<GlassWire>,
    /// Categories to ask by.
    pub(crate) categories: Vec<CategoryWire>,
    /// What is to be known of methanol.
    pub(crate) methanol: &'static str,
}

impl From<&Lot> for LotWire {
    fn from(lot: &Lot) -> Self {
        Self {
            jars: lot.jars.clone(),
            litres_20c: lot.litres_20c,
            litres_20c_sd: lot.sd[0],
            strength_vol: lot.strength_vol_20c,
            strength_sd: lot.sd[1],
            pure_alcohol_l: lot.pure_alcohol_l,
            pure_alcohol_l_sd: lot.sd[2],
            congeners: lot.congeners.map(Into::into),
        }
    }
}

impl From<&Against> for AgainstWire {
    fn from(one: &Against) -> Self {
        Self {
            substance: one.limit.substance.name(),
            words: one.limit.substance.words(),
            predicted: one.predicted,
            low: one.low_high.0,
            high: one.low_high.1,
            limit: one.limit.most_g_per_hl_pa,
            verdict: one.word(),
            of: one.limit.words,
            source: one.limit.source,
            from_memory: one.limit.from_memory,
        }
    }
}

fn moved(one: &Move, is_worst: bool) -> MoveWire {
    MoveWire {
        jar: one.jar,
        takes_in: one.takes_in,
        pure_alcohol_l: one.pure_alcohol_l,
        changes_most: one.most.map(|(substance, ..)| Substance::words(substance)),
        from: one.most.map(|(_, from, _)| from),
        to: one.most.map(|(_, _, to)| to),
        passes_limit: one.passes_limit,
        is_worst,
    }
}

impl CutsWire {
    /// The jars, with what a choice of them comes to.
    pub(crate) fn new(
        jars: &[Jar],
        mg: Option<&[Milligrams]>,
        cuts: Option<&Cuts>,
        charged_l: f64,
    ) -> Self {
        let chosen = cuts.map_or(&[][..], |cuts| &cuts.hearts.jars);
        let jar = |(i, jar): (usize, &Jar)| GaugedJarWire {
            number: jar.number,
            cut: jar.cut.map(still::plan::StepKind::name),
            note: jar.note.clone(),
            is_in: chosen.contains(&jar.number),
            litres_20c: jar.litres_20c,
            strength_vol: jar.strength_vol_20c,
            strength_sd: jar.strength_sd,
            pure_alcohol_l: jar.pure_alcohol_l,
            pure_alcohol_l_sd: jar.pure_alcohol_l_sd,
            congeners: mg.and_then(|all| {
                let each = g_per_hl_pa(1.0, jar.pure_alcohol_l)?;
                Some(all[i].map(|one| each * one).into())
            }),
        };
        let moves = |cuts: &Cuts| -> Vec<MoveWire> {
            let all = cuts.moves.iter().enumerate();
            all.map(|(i, one)| moved(one, cuts.worst == Some(i))).collect()
        };
        let mut categories: Vec<CategoryWire> = finishing::limits::all()
            .map(|one| CategoryWire { category: one.category, words: one.words })
            .collect();
        categories.dedup();
        Self {
            jars: jars.iter().enumerate().map(jar).collect(),
            left_out: Vec::new(),
            hearts: cuts.map(|cuts| (&cuts.hearts).into()),
            share_of_charge: cuts.map(|cuts| cuts.hearts.pure_alcohol_l / charged_l),
            feints: cuts.and_then(|cuts| cuts.feints.as_ref()).map(Into::into),
            discarded: cuts.and_then(|cuts| cuts.discarded.as_ref()).map(Into::into),
            against: cuts
                .map_or_else(Vec::new, |cuts| cuts.against.iter().map(Into::into).collect()),
            moves: cuts.map_or_else(Vec::new, moves),
            glasses: Vec::new(),
            categories,
            methanol: METHANOL_WORDS,
        }
    }
}

/// Spirit to be brought down in steps.
#[derive(Debug, Clone, Deserialize, ToSchema)]
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
pub(crate) struct StepDownWire {
    /// Counted from 1.
    pub(crate) number: usize,
    /// Strength before it, % vol.
    pub(crate) from: f64,
    /// Strength aimed at, % vol.
    pub(crate) to: f64,
    /// First pour, kg of water.
    pub(crate) pour_kg: f64,
    /// Strength after it, % vol.
    pub(crate) poured_to: f64,
    /// Trim, kg of water; the gauge decides.
    pub(crate) trim_kg: f64,
    /// Standard deviation of the trim, kg.
    pub(crate) trim_kg_sd: f64,
    /// Litres at 20 °C after it.
    pub(crate) litres_20c: f64,
    /// What a balance shows after it, kg.
    pub(crate) shown_kg: f64,
    /// Volume lost by mixing, %.
    pub(crate) contraction_percent: f64,
    /// Warming, K.
    pub(crate) warming_k: Option<f64>,
    /// What a glass shows while it is that warm, % vol.
    pub(crate) warm_reading_vol: Option<f64>,
    /// What was gauged after it, % vol.
    pub(crate) gauged: Option<f64>,
}

/// A reduction in steps.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct StepsAnswer {
    /// Its steps.
    pub(crate) steps: Vec<StepDownWire>,
    /// All the water, kg.
    pub(crate) water_kg: f64,
    /// Litres of pure alcohol.
    pub(crate) pure_alcohol_l: f64,
    /// The same by the last gauge.
    pub(crate) pure_alcohol_now_l: f64,
    /// Standard deviation of their difference, L.
    pub(crate) difference_sd_l: f64,
    /// Whether it may turn hazy.
    pub(crate) may_haze: bool,
    /// Hours of rest in all.
    pub(crate) hours: f64,
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
#[derive(Debug, Clone, Deserialize, ToSchema)]
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
