//! Jars and cuts as they are asked for and told.

use finishing::congeners::{METHANOL_WORDS, Milligrams, Substance, g_per_hl_pa};
use finishing::cuts::{Against, Cuts, Lot, Move};
use finishing::jar::Jar;
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
pub(crate) struct CutLotWire {
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
pub(crate) struct CutAgainstWire {
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
    pub(crate) hearts: Option<CutLotWire>,
    /// Its share of the pure alcohol charged.
    pub(crate) share_of_charge: Option<f64>,
    /// What stays for the next charge.
    pub(crate) feints: Option<CutLotWire>,
    /// What is thrown away.
    pub(crate) discarded: Option<CutLotWire>,
    /// Against the limits.
    pub(crate) against: Vec<CutAgainstWire>,
    /// What each jar beside a cut would change.
    pub(crate) moves: Vec<MoveWire>,
    /// A round to smell blind.
    pub(crate) glasses: Vec<GlassWire>,
    /// Categories to ask by.
    pub(crate) categories: Vec<CategoryWire>,
    /// What is to be known of methanol.
    pub(crate) methanol: &'static str,
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
