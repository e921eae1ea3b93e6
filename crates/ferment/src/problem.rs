//! Recipe and log brought together for a moment: what every possible wash is weighed against.

use alcoholometry::density::density_kg_m3;

use crate::belief::{Beliefs, beliefs};
use crate::events::{Event, events};
use crate::liquid::{Extract, extract, planned_gravity};
use crate::log::{Act, ActKind, Log};
use crate::recipe::Recipe;
use crate::steps::{Step, steps};
use crate::temperature::Temperatures;

/// One gravity by the glass.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Gravity {
    pub(crate) time_h: f64,
    pub(crate) value: f64,
    /// Its temperature was not read.
    pub(crate) unsure: bool,
    pub(crate) row: usize,
    /// How much of a reading by itself it is.
    pub(crate) counts: f64,
}

/// One value of another column, and the row of the log it stands in.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Value {
    pub(crate) time_h: f64,
    pub(crate) value: f64,
    pub(crate) row: usize,
}

/// Recipe and log for a moment.
#[derive(Debug)]
pub(crate) struct Problem<'a> {
    pub(crate) recipe: &'a Recipe,
    pub(crate) at_h: f64,
    /// Centre and width of every unknown.
    pub(crate) beliefs: Beliefs,
    pub(crate) extract: Extract,
    pub(crate) enzyme: bool,
    pub(crate) first_ph: Option<f64>,
    pub(crate) gravities: Vec<Gravity>,
    pub(crate) ph: Vec<Value>,
    /// Kilograms lost since the first weight, samples added back.
    pub(crate) weights: Vec<Value>,
    pub(crate) floats: Vec<Value>,
    pub(crate) events: Vec<(f64, Event)>,
    pub(crate) temperatures: Temperatures,
    /// Hours at which the liquid is compared, sorted.
    pub(crate) hours: Vec<f64>,
    /// Share of the difference to the air lost in an hour.
    pub(crate) cools: f64,
    /// Steps to the moment.
    pub(crate) steps: Vec<Step>,
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

/// Gravities closer than this share their error, h, and the least each counts (judgement).
const SHARED_H: f64 = 8.0;
const COUNTS_LOW: f64 = 0.2;
/// About so many gravities are weighed at most, and so many readings of a float: more cost time and
/// say nothing new.
const GRAVITIES_MAX: f64 = 120.0;
const FLOATS_MAX: f64 = 60.0;

/// Leaves out gravities that stand too close for so long a log; the first and the last stay.
fn thin(gravities: &mut Vec<Gravity>, at_h: f64) {
    let every = at_h / GRAVITIES_MAX;
    let last = gravities.last().map(|row| row.row);
    let mut kept = f64::NEG_INFINITY;
    gravities.retain(|row| {
        let keeps = row.time_h - kept >= every || Some(row.row) == last;
        if keeps {
            kept = row.time_h;
        }
        keeps
    });
}

/// How much of a reading by itself each gravity is: those taken close together share the model's
/// error, and count by the hours each speaks for.
fn share_errors(gravities: &mut [Gravity]) {
    let hours: Vec<f64> = gravities.iter().map(|row| row.time_h).collect();
    for (i, row) in gravities.iter_mut().enumerate() {
        let before = i.checked_sub(1).map(|j| row.time_h - hours[j]);
        let after = hours.get(i + 1).map(|next| next - row.time_h);
        let gap = match (before, after) {
            (Some(before), Some(after)) => 0.5 * (before + after),
            (Some(one), None) | (None, Some(one)) => one,
            (None, None) => SHARED_H,
        };
        row.counts = (gap / SHARED_H).clamp(COUNTS_LOW, 1.0);
    }
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
                weights.push(Value { time_h: glass.time_h, value: first - whole, row });
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
                    counts: 1.0,
                });
                sampled_l += recipe.reading.sample_discarded_ml / 1000.0;
            }
            ph.extend(glass.ph.map(|value| Value { time_h: glass.time_h, value, row }));
        }
        let float_every_h = FLOAT_EVERY_H.max(at_h / FLOATS_MAX);
        let mut floats: Vec<Value> = Vec::new();
        for (row, float) in log.float.iter().enumerate() {
            let Some(value) = float.gravity else { continue };
            if floats.last().is_none_or(|last| float.time_h - last.time_h >= float_every_h) {
                floats.push(Value { time_h: float.time_h, value, row });
            }
        }
        thin(&mut gravities, at_h);
        share_errors(&mut gravities);
        let mut hours: Vec<f64> = gravities.iter().map(|g| g.time_h).collect();
        hours.extend(ph.iter().chain(&weights).chain(&floats).map(|row| row.time_h));
        hours.push(at_h);
        hours.sort_by(f64::total_cmp);
        hours.dedup();
        let unplanned = |act: &&Act| {
            act.time_h > 0.0 && !matches!(act.kind, ActKind::Pitch | ActKind::Nutrient)
        };
        let events = events(recipe, log, at_h);
        let steps = steps(&hours, &events, &temperatures);
        Self {
            recipe,
            at_h,
            cools: if recipe.room.insulated { 0.035 } else { 0.10 } * (40.0 / recipe.litres).cbrt(),
            steps,
            beliefs: beliefs(recipe),
            extract: extract(recipe),
            enzyme: recipe.fermentables.iter().any(|item| item.enzyme == Some(true)),
            first_ph: ph.first().filter(|row| row.time_h < 3.0).map(|row| row.value),
            gravities,
            ph,
            weights,
            floats,
            events,
            temperatures,
            hours,
            sampled_l,
            rescued_h: log.acts.iter().filter(unplanned).map(|act| act.time_h).next_back(),
        }
    }
}
