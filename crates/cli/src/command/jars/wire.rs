//! The jars as JSON.

use finishing::congeners::{Milligrams, Substance, g_per_hl_pa};
use finishing::cuts::{Against, Lot, Move};
use finishing::jar::Jar;
use serde::Serialize;

use super::told::Told;

#[derive(Debug, Serialize)]
pub(super) struct JarsWire {
    run: Option<String>,
    jars: Vec<JarWire>,
    left_out: Vec<u32>,
    hearts: LotWire,
    share_of_charge: Option<f64>,
    feints: Option<LotWire>,
    discarded: Option<LotWire>,
    against: Vec<AgainstWire>,
    moves: Vec<MoveWire>,
    worst: Option<u32>,
    next_charge: Option<ChargeWire>,
    glasses: Vec<GlassWire>,
    methanol: &'static str,
}

#[derive(Debug, Serialize)]
struct CongenersWire {
    methanol: f64,
    ethyl_acetate: f64,
    acetaldehyde: f64,
    higher_alcohols: f64,
}

#[derive(Debug, Serialize)]
struct JarWire {
    number: u32,
    cut: Option<&'static str>,
    litres_20c: f64,
    litres_20c_sd: f64,
    strength_vol_20c: f64,
    strength_sd: f64,
    pure_alcohol_l: f64,
    pure_alcohol_l_sd: f64,
    predicted_g_per_hl_pa: Option<CongenersWire>,
    note: String,
}

#[derive(Debug, Serialize)]
struct LotWire {
    jars: Vec<u32>,
    litres_20c: f64,
    litres_20c_sd: f64,
    strength_vol_20c: f64,
    strength_sd: f64,
    pure_alcohol_l: f64,
    pure_alcohol_l_sd: f64,
    contraction_percent: f64,
    predicted_g_per_hl_pa: Option<CongenersWire>,
}

#[derive(Debug, Serialize)]
struct AgainstWire {
    substance: &'static str,
    predicted: f64,
    low: f64,
    high: f64,
    limit: f64,
    verdict: &'static str,
    category: &'static str,
    source: &'static str,
    from_memory: bool,
}

#[derive(Debug, Serialize)]
struct MoveWire {
    jar: u32,
    takes_in: bool,
    pure_alcohol_l: f64,
    strength_vol: f64,
    changes_most: Option<&'static str>,
    from: Option<f64>,
    to: Option<f64>,
    passes_limit: bool,
}

#[derive(Debug, Serialize)]
struct ChargeWire {
    litres_20c: f64,
    strength_vol_20c: f64,
    pure_alcohol_l: f64,
    of_feints_l: f64,
}

#[derive(Debug, Serialize)]
struct GlassWire {
    letter: String,
    jar: u32,
    again: bool,
}

const fn congeners(all: [f64; 4]) -> CongenersWire {
    let [methanol, ethyl_acetate, acetaldehyde, higher_alcohols] = all;
    CongenersWire { methanol, ethyl_acetate, acetaldehyde, higher_alcohols }
}

/// A jar's predicted congeners, g per hL of pure alcohol.
pub(super) fn of_jar(jar: &Jar, mg: Option<&Milligrams>) -> Option<[f64; 4]> {
    let mg = mg?;
    g_per_hl_pa(1.0, jar.pure_alcohol_l).map(|each| mg.map(|one| each * one))
}

fn lot(of: &Lot) -> LotWire {
    LotWire {
        jars: of.jars.clone(),
        litres_20c: of.litres_20c,
        litres_20c_sd: of.sd[0],
        strength_vol_20c: of.strength_vol_20c,
        strength_sd: of.sd[1],
        pure_alcohol_l: of.pure_alcohol_l,
        pure_alcohol_l_sd: of.sd[2],
        contraction_percent: of.contraction_percent,
        predicted_g_per_hl_pa: of.congeners.map(congeners),
    }
}

fn against(one: &Against) -> AgainstWire {
    AgainstWire {
        substance: one.limit.substance.name(),
        predicted: one.predicted,
        low: one.low_high.0,
        high: one.low_high.1,
        limit: one.limit.most_g_per_hl_pa,
        verdict: one.word(),
        category: one.limit.category,
        source: one.limit.source,
        from_memory: one.limit.from_memory,
    }
}

fn moved(one: &Move) -> MoveWire {
    MoveWire {
        jar: one.jar,
        takes_in: one.takes_in,
        pure_alcohol_l: one.pure_alcohol_l,
        strength_vol: one.strength_vol,
        changes_most: one.most.map(|(substance, _, _)| Substance::name(substance)),
        from: one.most.map(|(_, from, _)| from),
        to: one.most.map(|(_, _, to)| to),
        passes_limit: one.passes_limit,
    }
}

impl JarsWire {
    pub(super) fn of(told: &Told, methanol: &'static str) -> Self {
        let Told { bench, cuts, next, glasses } = told;
        let jar = |(i, jar): (usize, &Jar)| JarWire {
            number: jar.number,
            cut: jar.cut.map(still::plan::StepKind::name),
            litres_20c: jar.litres_20c,
            litres_20c_sd: jar.litres_20c_sd,
            strength_vol_20c: jar.strength_vol_20c,
            strength_sd: jar.strength_sd,
            pure_alcohol_l: jar.pure_alcohol_l,
            pure_alcohol_l_sd: jar.pure_alcohol_l_sd,
            predicted_g_per_hl_pa: of_jar(jar, bench.congeners.as_ref().map(|all| &all[i]))
                .map(congeners),
            note: jar.note.clone(),
        };
        Self {
            run: bench.run.clone(),
            jars: bench.jars.iter().enumerate().map(jar).collect(),
            left_out: bench.left_out.clone(),
            hearts: lot(&cuts.hearts),
            share_of_charge: bench.charged_l.map(|all| cuts.hearts.pure_alcohol_l / all),
            feints: cuts.feints.as_ref().map(lot),
            discarded: cuts.discarded.as_ref().map(lot),
            against: cuts.against.iter().map(against).collect(),
            worst: cuts.worst.map(|place| cuts.moves[place].jar),
            moves: cuts.moves.iter().map(moved).collect(),
            next_charge: next.map(|next| ChargeWire {
                litres_20c: next.litres_20c,
                strength_vol_20c: next.strength_vol_20c,
                pure_alcohol_l: next.pure_alcohol_l,
                of_feints_l: next.of_feints_l,
            }),
            glasses: glasses
                .iter()
                .map(|glass| GlassWire {
                    letter: glass.letter.clone(),
                    jar: glass.jar,
                    again: glass.again,
                })
                .collect(),
            methanol,
        }
    }
}
