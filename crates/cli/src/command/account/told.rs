//! An entry as a command tells it in lines of text.

use account::{AccountUnit, Gauge, Leg, Numbered, Profile};

use super::moments::shown;
use crate::print::number;

/// An entry in lines of text.
pub(crate) fn text(numbered: &Numbered, corrected_by: Option<u64>, profile: &Profile) -> String {
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
    if let Some(gauge) = &entry.gauge {
        text.push_str(&["    ", &gauged(gauge, profile), "\n"].concat());
        if let Some(with) = gauge.with_words(entry.act_ms) {
            text.push_str(&["    with ", &with, "\n"].concat());
        }
    }
    for one in &entry.typed {
        let value = one.value.to_string();
        text.push_str(&["    ", &one.field, " typed as ", &value, " ", &one.unit, "\n"].concat());
    }
    let old = entry.corrects.map(|old| format!("in the place of {old}"));
    let by = corrected_by.map(|by| format!("corrected by {by}"));
    for words in [entry.note.clone(), old, by].into_iter().flatten() {
        text.push_str(&["    ", &words, "\n"].concat());
    }
    text
}

/// What was read and what follows, in gallons too where the profile counts in them.
fn gauged(gauge: &Gauge, profile: &Profile) -> String {
    let raw = gauge.raw;
    let read = format!(
        "read {} {}, {} on {} at {} °C",
        raw.quantity,
        raw.unit.word(),
        raw.reading,
        raw.scale.name(),
        raw.celsius
    );
    let is = format!(
        "is {} % vol, {} L at 20 °C",
        number(gauge.strength_vol, 2),
        number(gauge.litres_20c, 4)
    );
    let gallons = format!(
        "; {} wine gallons, {} proof gallons at 60 °F",
        number(gauge.wine_gallons(), 3),
        number(gauge.proof_gallons, 1)
    );
    let gallons = if profile.unit == AccountUnit::ProofGallons { gallons } else { String::new() };
    format!("{read}: {is}{gallons} ({})", gauge.table)
}
