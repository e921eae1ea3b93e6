//! An entry as a command tells it.

use account::{Leg, Numbered};
use serde::Serialize;

use super::moments::shown;

/// One side of a move.
#[derive(Debug, Serialize)]
pub(crate) struct LegWire {
    place: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    lot: Option<String>,
    pure_alcohol_l: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    litres_20c: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    strength_vol: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    bottles: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    bottle_ml: Option<f64>,
}

impl LegWire {
    fn new(leg: &Leg) -> Self {
        Self {
            place: leg.place.to_string(),
            lot: leg.lot.as_ref().map(ToString::to_string),
            pure_alcohol_l: leg.alcohol.litres(),
            litres_20c: leg.litres_20c,
            strength_vol: leg.strength_vol,
            bottles: leg.bottles,
            bottle_ml: leg.bottle_ml,
        }
    }
}

/// An entry.
#[derive(Debug, Serialize)]
pub(crate) struct EntryWire {
    serial: u64,
    kind: &'static str,
    act: String,
    entered: String,
    from: Vec<LegWire>,
    to: Vec<LegWire>,
    pure_alcohol_l: f64,
    by: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    proof_gallons: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    note: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    corrects: Option<u64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    corrected_by: Option<u64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    run: Option<String>,
}

impl EntryWire {
    /// Of an entry, and what took its place.
    pub(crate) fn new(numbered: &Numbered, corrected_by: Option<u64>) -> Self {
        let entry = &numbered.entry;
        Self {
            serial: numbered.number,
            kind: entry.kind.word(),
            act: shown(entry.act_ms, entry.zone_minutes),
            entered: shown(entry.entered_ms, entry.zone_minutes),
            from: entry.from.iter().map(LegWire::new).collect(),
            to: entry.to.iter().map(LegWire::new).collect(),
            pure_alcohol_l: entry.moved().litres(),
            by: entry.people.entered.clone(),
            proof_gallons: entry.gauge.as_ref().map(|gauge| gauge.proof_gallons),
            note: entry.note.clone(),
            corrects: entry.corrects,
            corrected_by,
            run: entry.run.clone(),
        }
    }
}

/// An entry in lines of text.
pub(crate) fn text(numbered: &Numbered, corrected_by: Option<u64>) -> String {
    let entry = &numbered.entry;
    let legs = |legs: &[Leg]| {
        legs.iter()
            .map(|leg| format!("{} {}", leg.whereabouts(), leg.alcohol))
            .collect::<Vec<_>>()
            .join(", ")
    };
    let mut text = format!(
        "{}  {}  {}  by {}\n",
        numbered.number,
        shown(entry.act_ms, entry.zone_minutes),
        entry.kind,
        entry.people.entered
    );
    for (word, side) in [("from", &entry.from), ("to", &entry.to)] {
        if !side.is_empty() {
            text.push_str(&["    ", word, "  ", &legs(side), "\n"].concat());
        }
    }
    let old = entry.corrects.map(|old| format!("in the place of {old}"));
    let by = corrected_by.map(|by| format!("corrected by {by}"));
    for words in [entry.note.clone(), old, by].into_iter().flatten() {
        text.push_str(&["    ", &words, "\n"].concat());
    }
    text
}
