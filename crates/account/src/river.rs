//! The account as one river: stage after stage from wash to bottles, with what came in, what went
//! on, what fell away and what stays.
//!
//! Of every stage: what was there at the beginning and what came in is what went out and what stays.

use std::collections::BTreeMap;

use crate::amount::PureAlcohol;
use crate::balance::{Balance, Flow};
use crate::place::{Place, PlaceKind, Side};

/// One stage of the river: a kind of vessel, and what is kept beside it on the same level.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stage {
    /// Wash, pot, jars, tanks or bottles.
    pub kind: PlaceKind,
    /// There at the beginning.
    pub opening: PureAlcohol,
    /// What came in, by the source or the stage it came from.
    pub came: Vec<(PlaceKind, PureAlcohol)>,
    /// What went to other stages.
    pub went: Vec<(PlaceKind, PureAlcohol)>,
    /// What fell away: each loss by its name, samples, removals, what nobody explains.
    pub away: Vec<(Place, PureAlcohol)>,
    /// What stays, by the kind of vessel.
    pub stays: Vec<(PlaceKind, PureAlcohol)>,
}

impl Stage {
    fn new(kind: PlaceKind) -> Self {
        let opening = PureAlcohol::ZERO;
        let (came, went) = (Vec::new(), Vec::new());
        Self { kind, opening, came, went, away: Vec::new(), stays: Vec::new() }
    }

    /// All that was in it: what was there and what came.
    #[must_use]
    pub fn through(&self) -> PureAlcohol {
        self.opening.plus(self.came.iter().map(|(_, alcohol)| *alcohol).sum())
    }
}

/// The stage a kind of stock belongs to: feints and low wines stand beside the jars, casks and
/// beds of carbon beside the tanks.
const fn stage_of(kind: PlaceKind) -> PlaceKind {
    match kind {
        PlaceKind::LowWines | PlaceKind::Feints => PlaceKind::Jar,
        PlaceKind::Bed | PlaceKind::Cask => PlaceKind::Tank,
        other => other,
    }
}

fn add<K: PartialEq>(to: &mut Vec<(K, PureAlcohol)>, key: K, alcohol: PureAlcohol) {
    match to.iter_mut().find(|(known, _)| *known == key) {
        Some((_, sum)) => *sum = sum.plus(alcohol),
        None => to.push((key, alcohol)),
    }
}

/// The stages that held anything, in the order of the trade.
#[must_use]
pub fn river(balance: &Balance, flows: &[Flow]) -> Vec<Stage> {
    let mut stages: BTreeMap<PlaceKind, Stage> = BTreeMap::new();
    for line in &balance.stocks {
        let kind = stage_of(line.kind);
        let stage = stages.entry(kind).or_insert_with(|| Stage::new(kind));
        stage.opening = stage.opening.plus(line.opening);
        if line.closing > PureAlcohol::ZERO {
            stage.stays.push((line.kind, line.closing));
        }
    }
    for flow in flows {
        let (from, to) = (stage_of(flow.from), stage_of(flow.to.kind()));
        if from == to {
            continue;
        }
        if let Some(stage) = stages.get_mut(&to).filter(|_| to.side() == Side::Stock) {
            add(&mut stage.came, from, flow.alcohol);
        }
        if let Some(stage) = stages.get_mut(&from).filter(|_| from.side() == Side::Stock) {
            if to.side() == Side::Stock {
                add(&mut stage.went, to, flow.alcohol);
            } else {
                add(&mut stage.away, flow.to.clone(), flow.alcohol);
            }
        }
    }
    stages.into_values().filter(|stage| stage.through() > PureAlcohol::ZERO).collect()
}
