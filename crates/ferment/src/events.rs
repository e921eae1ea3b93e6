//! What happens to a wash at what hour: acts that were done, and doses still planned.

use crate::log::{ActKind, Log};
use crate::recipe::Recipe;

/// What happens to the wash at an hour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Event {
    /// Nitrogen, mg/L.
    Nitrogen(f64),
    /// Yeast, g/L.
    Yeast(f64),
    /// Chalk.
    Chalk,
    /// Heater set, C.
    Heater(f64),
    /// Moved elsewhere.
    Moved,
}

/// Hours a planned dose that was not yet given may still be late.
const LATE_H: f64 = 6.0;

/// Acts up to the moment, then planned doses, in the order of time.
pub(crate) fn events(recipe: &Recipe, log: &Log, at_h: f64) -> Vec<(f64, Event)> {
    let mut events = Vec::new();
    let mut planned = recipe.nutrients.iter();
    let common = recipe.nutrients.first().map_or(150.0, |dose| dose.yan_mg_per_g);
    for act in &log.acts {
        let event = match act.kind {
            ActKind::Pitch => continue,
            ActKind::Nutrient => {
                let yan = planned.next().map_or(common, |dose| dose.yan_mg_per_g);
                Event::Nitrogen(act.value * yan / recipe.litres)
            }
            ActKind::Heater => Event::Heater(act.value),
            ActKind::Chalk => Event::Chalk,
            ActKind::Yeast => Event::Yeast(act.value / recipe.litres),
            ActKind::Moved => Event::Moved,
        };
        events.push((act.time_h, event));
    }
    for dose in planned {
        let hour = if dose.at_h > at_h || at_h == 0.0 { dose.at_h } else { at_h + LATE_H };
        events.push((hour, Event::Nitrogen(dose.grams * dose.yan_mg_per_g / recipe.litres)));
    }
    events.sort_by(|a, b| a.0.total_cmp(&b.0));
    events
}
