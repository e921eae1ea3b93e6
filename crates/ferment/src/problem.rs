//! Recipe and log brought together for a moment: what every possible wash is weighed against.

use alcoholometry::density::density_kg_m3;

use crate::liquid::{Extract, extract, planned_gravity};
use crate::log::{Act, ActKind, Log};
use crate::recipe::Recipe;
use crate::temperature::Temperatures;

/// One gravity by the glass.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Gravity {
    pub(crate) time_h: f64,
    pub(crate) value: f64,
    /// Its temperature was not read.
    pub(crate) unsure: bool,
    pub(crate) row: usize,
}

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

/// Recipe and log for a moment.
#[derive(Debug)]
pub(crate) struct Problem<'a> {
    pub(crate) recipe: &'a Recipe,
    pub(crate) at_h: f64,
    pub(crate) extract: Extract,
    pub(crate) enzyme: bool,
    pub(crate) first_ph: Option<f64>,
    pub(crate) gravities: Vec<Gravity>,
    pub(crate) ph: Vec<(f64, f64)>,
    /// Hour, kg lost since the first weight with samples added back.
    pub(crate) weights: Vec<(f64, f64)>,
    pub(crate) floats: Vec<(f64, f64)>,
    pub(crate) events: Vec<(f64, Event)>,
    pub(crate) temperatures: Temperatures,
    /// Hours at which the liquid is compared, sorted.
    pub(crate) hours: Vec<f64>,
    /// Litres of samples taken.
    pub(crate) sampled_l: f64,
    /// Last act that was not planned.
    pub(crate) rescued_h: Option<f64>,
}

/// Hours between readings of the float that are used: they share their error.
const FLOAT_EVERY_H: f64 = 8.0;
/// Glass widens, per K (common practice, no source).
const GLASS_PER_K: f64 = 25e-6;

/// What a glass true at one temperature reads too low in a sample at another.
fn correction(recipe: &Recipe, gravity: f64, celsius: f64) -> f64 {
    let planned = planned_gravity(recipe);
    // Grams of ethanol per gram of wash that a fall of gravity stands for, near enough here.
    let ethanol = ((planned - gravity) * 1.03).clamp(0.0, 0.2);
    let glass_c = recipe.reading.hydrometer_true_at_c;
    let ratio = density_kg_m3(ethanol, 20.0) / density_kg_m3(ethanol, celsius);
    let at_true = density_kg_m3(0.0, glass_c) / density_kg_m3(0.0, 20.0);
    gravity * ratio * at_true * (1.0 - GLASS_PER_K * (celsius - glass_c)) - gravity
}

/// A gravity as a glass at its own temperature would have read it, from one read in a sample at
/// `celsius`.
#[must_use]
pub fn at_glass_temperature(recipe: &Recipe, gravity: f64, celsius: f64) -> f64 {
    gravity + correction(recipe, gravity, celsius.clamp(0.0, 50.0))
}

impl<'a> Problem<'a> {
    pub(crate) fn new(recipe: &'a Recipe, log: &Log, at_h: f64) -> Self {
        let temperatures = Temperatures::of(log);
        let usual = recipe.room.heater_c.unwrap_or(recipe.room.ambient_c + 2.0);
        let mut gravities = Vec::new();
        let (mut ph, mut weights) = (Vec::new(), Vec::new());
        let (mut sampled_l, mut first_kg) = (0.0, None);
        for (row, glass) in log.glass.iter().enumerate() {
            if let Some(kg) = glass.weight_kg {
                let whole = kg + sampled_l;
                let first: f64 = *first_kg.get_or_insert(whole);
                weights.push((glass.time_h, first - whole));
            }
            if let Some(read) = glass.gravity {
                let celsius = glass.temperature_c.or_else(|| temperatures.at(glass.time_h));
                let value =
                    read + correction(recipe, read, celsius.unwrap_or(usual).clamp(0.0, 50.0));
                gravities.push(Gravity {
                    time_h: glass.time_h,
                    value,
                    unsure: celsius.is_none(),
                    row,
                });
                sampled_l += recipe.reading.sample_discarded_ml / 1000.0;
            }
            ph.extend(glass.ph.map(|ph| (glass.time_h, ph)));
        }
        let mut floats: Vec<(f64, f64)> = Vec::new();
        for float in &log.float {
            let Some(gravity) = float.gravity else { continue };
            if floats.last().is_none_or(|last| float.time_h - last.0 >= FLOAT_EVERY_H) {
                floats.push((float.time_h, gravity));
            }
        }
        let mut hours: Vec<f64> = gravities.iter().map(|g| g.time_h).collect();
        hours.extend(ph.iter().chain(&weights).chain(&floats).map(|row| row.0));
        hours.push(at_h);
        hours.sort_by(f64::total_cmp);
        hours.dedup();
        let unplanned = |act: &&Act| {
            act.time_h > 0.0 && !matches!(act.kind, ActKind::Pitch | ActKind::Nutrient)
        };
        Self {
            recipe,
            at_h,
            extract: extract(recipe),
            enzyme: recipe.fermentables.iter().any(|item| item.enzyme == Some(true)),
            first_ph: ph.first().filter(|row| row.0 < 3.0).map(|row| row.1),
            gravities,
            ph,
            weights,
            floats,
            events: events(recipe, log, at_h),
            temperatures,
            hours,
            sampled_l,
            rescued_h: log.acts.iter().filter(unplanned).map(|act| act.time_h).next_back(),
        }
    }
}

/// Hours a planned dose that was not yet given may still be late.
const LATE_H: f64 = 6.0;

fn events(recipe: &Recipe, log: &Log, at_h: f64) -> Vec<(f64, Event)> {
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
