//! Jars and cuts as they are asked for and told.

use finishing::congeners::{METHANOL_WORDS, Milligrams, Substance, g_per_hl_pa};
use finishing::cuts::{Against, Charged, Cuts, Lot, Move};
use finishing::jar::Jar;
use finishing::nose;
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use super::account_entry::GaugedWithWire;

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
pub struct CongenersWire {
    /// Methanol.
    pub methanol: f64,
    /// Ethyl acetate.
    pub ethyl_acetate: f64,
    /// Acetaldehyde.
    pub acetaldehyde: f64,
    /// Propanol, isobutanol and the amyl alcohols together.
    pub higher_alcohols: f64,
}

impl From<[f64; 4]> for CongenersWire {
    fn from([methanol, ethyl_acetate, acetaldehyde, higher_alcohols]: [f64; 4]) -> Self {
        Self { methanol, ethyl_acetate, acetaldehyde, higher_alcohols }
    }
}

/// A gauged jar.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct GaugedJarWire {
    /// Its number.
    pub number: u32,
    /// The fraction it was filled as.
    pub cut: Option<&'static str>,
    /// What the nose said.
    pub note: String,
    /// What it was gauged with, where that was said.
    pub gauged_with: Option<GaugedWithWire>,
    /// Whether it is in.
    pub is_in: bool,
    /// Litres at 20 °C.
    pub litres_20c: f64,
    /// Standard deviation, L.
    pub litres_20c_sd: f64,
    /// % vol at 20 °C.
    pub strength_vol: f64,
    /// Standard deviation, % vol.
    pub strength_sd: f64,
    /// Litres of pure alcohol.
    pub pure_alcohol_l: f64,
    /// Standard deviation, L.
    pub pure_alcohol_l_sd: f64,
    /// What the model says of it.
    pub congeners: Option<CongenersWire>,
}

/// What several jars come to.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CutLotWire {
    /// The jars.
    pub jars: Vec<u32>,
    /// Litres at 20 °C.
    pub litres_20c: f64,
    /// Standard deviation, L.
    pub litres_20c_sd: f64,
    /// % vol at 20 °C.
    pub strength_vol: f64,
    /// Standard deviation, % vol.
    pub strength_sd: f64,
    /// Litres of pure alcohol.
    pub pure_alcohol_l: f64,
    /// Standard deviation, L.
    pub pure_alcohol_l_sd: f64,
    /// Volume lost by mixing, %.
    pub contraction_percent: f64,
    /// Predicted congeners.
    pub congeners: Option<CongenersWire>,
}

/// A substance against its limit, g per hL of pure alcohol.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CutAgainstWire {
    /// Of what.
    pub substance: &'static str,
    /// Its name as read.
    pub words: &'static str,
    /// Predicted.
    pub predicted: f64,
    /// Lower end of the range that holds 4 in 5.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// The most.
    pub limit: f64,
    /// `within`, `over` or `cannot be told`.
    pub verdict: &'static str,
    /// Whose limit it is.
    pub of: &'static str,
    /// Where it is published.
    pub source: &'static str,
    /// Whether it is from memory, not read again.
    pub from_memory: bool,
}

/// One jar more, or less.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct MoveWire {
    /// The jar.
    pub jar: u32,
    /// Whether it is taken in; else left out.
    pub takes_in: bool,
    /// Change of the pure alcohol, L.
    pub pure_alcohol_l: f64,
    /// Change of the strength, % vol.
    pub strength_vol: f64,
    /// What changes most.
    pub changes_most: Option<&'static str>,
    /// From, g per hL of pure alcohol.
    pub from: Option<f64>,
    /// To.
    pub to: Option<f64>,
    /// Whether that passes a limit.
    pub passes_limit: bool,
    /// Whether no other move does more harm.
    pub is_worst: bool,
}

/// A glass of a round to smell blind.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct GlassWire {
    /// What stands on it.
    pub letter: String,
    /// The jar it was filled from.
    pub jar: u32,
    /// Whether that jar stands in the round twice, and this is the second glass.
    pub again: bool,
}

impl From<nose::Glass> for GlassWire {
    fn from(nose::Glass { letter, jar, again }: nose::Glass) -> Self {
        Self { letter, jar, again }
    }
}

/// A charge with feints in it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct NextChargeWire {
    /// Litres at 20 °C.
    pub litres_20c: f64,
    /// % vol at 20 °C.
    pub strength_vol: f64,
    /// Litres of pure alcohol.
    pub pure_alcohol_l: f64,
    /// Of those the feints', L.
    pub of_feints_l: f64,
}

impl From<Charged> for NextChargeWire {
    fn from(of: Charged) -> Self {
        Self {
            litres_20c: of.litres_20c,
            strength_vol: of.strength_vol_20c,
            pure_alcohol_l: of.pure_alcohol_l,
            of_feints_l: of.of_feints_l,
        }
    }
}

/// A category of spirit with limits.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct CategoryWire {
    /// The word to ask by.
    pub category: &'static str,
    /// As read.
    pub words: &'static str,
}

/// The jars of a run, cut.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CutsWire {
    /// The run's title; none where the jars were typed.
    pub run: Option<String>,
    /// The jars that were gauged.
    pub jars: Vec<GaugedJarWire>,
    /// Numbers of those that were not gauged with a temperature.
    pub left_out: Vec<u32>,
    /// What is in; none where no jar is.
    pub hearts: Option<CutLotWire>,
    /// Its share of the pure alcohol charged.
    pub share_of_charge: Option<f64>,
    /// What stays for the next charge.
    pub feints: Option<CutLotWire>,
    /// What is thrown away.
    pub discarded: Option<CutLotWire>,
    /// Against the limits.
    pub against: Vec<CutAgainstWire>,
    /// What the feints make of a wash that was named.
    pub next_charge: Option<NextChargeWire>,
    /// What each jar beside a cut would change.
    pub moves: Vec<MoveWire>,
    /// A round to smell blind.
    pub glasses: Vec<GlassWire>,
    /// Categories to ask by.
    pub categories: Vec<CategoryWire>,
    /// What is to be known of methanol.
    pub methanol: &'static str,
}

impl From<&Lot> for CutLotWire {
    fn from(lot: &Lot) -> Self {
        Self {
            jars: lot.jars.clone(),
            litres_20c: lot.litres_20c,
            litres_20c_sd: lot.sd[0],
            strength_vol: lot.strength_vol_20c,
            strength_sd: lot.sd[1],
            pure_alcohol_l: lot.pure_alcohol_l,
            pure_alcohol_l_sd: lot.sd[2],
            contraction_percent: lot.contraction_percent,
            congeners: lot.congeners.map(Into::into),
        }
    }
}

impl From<&Against> for CutAgainstWire {
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
        strength_vol: one.strength_vol,
        changes_most: one.most.map(|(substance, ..)| Substance::words(substance)),
        from: one.most.map(|(_, from, _)| from),
        to: one.most.map(|(_, _, to)| to),
        passes_limit: one.passes_limit,
        is_worst,
    }
}

impl CutsWire {
    /// The jars, with what a choice of them comes to.
    #[must_use]
    pub fn new(
        jars: &[Jar],
        mg: Option<&[Milligrams]>,
        cuts: Option<&Cuts>,
        charged_l: Option<f64>,
    ) -> Self {
        let chosen = cuts.map_or(&[][..], |cuts| &cuts.hearts.jars);
        let jar = |(i, jar): (usize, &Jar)| GaugedJarWire {
            number: jar.number,
            cut: jar.cut.map(still::plan::StepKind::name),
            note: jar.note.clone(),
            gauged_with: jar.gauged_with.as_ref().map(Into::into),
            is_in: chosen.contains(&jar.number),
            litres_20c: jar.litres_20c,
            litres_20c_sd: jar.litres_20c_sd,
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
            run: None,
            jars: jars.iter().enumerate().map(jar).collect(),
            left_out: Vec::new(),
            hearts: cuts.map(|cuts| (&cuts.hearts).into()),
            share_of_charge: cuts
                .zip(charged_l)
                .map(|(cuts, all)| cuts.hearts.pure_alcohol_l / all),
            feints: cuts.and_then(|cuts| cuts.feints.as_ref()).map(Into::into),
            discarded: cuts.and_then(|cuts| cuts.discarded.as_ref()).map(Into::into),
            against: cuts
                .map_or_else(Vec::new, |cuts| cuts.against.iter().map(Into::into).collect()),
            next_charge: None,
            moves: cuts.map_or_else(Vec::new, moves),
            glasses: Vec::new(),
            categories,
            methanol: METHANOL_WORDS,
        }
    }
}
