//! The forecast of a wash from its recipe and log at a moment.

use serde::Serialize;

use crate::chance::Chance;
use crate::doubt::{self, Doubted};
use crate::log::Log;
use crate::outlook::{AHEAD_H, End, carry_on};
use crate::problem::Problem;
use crate::recipe::{Recipe, RecipeError};
use crate::sampler::sample;

/// What a wash is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum State {
    /// It falls.
    Working,
    /// It falls, but crawls.
    Slow,
    /// It rests above what could ferment.
    Stuck,
    /// It is done.
    Finished,
}

/// Five quantiles of what is not known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Quantiles {
    /// One in forty lies below.
    pub p025: f64,
    /// One in ten lies below.
    pub p10: f64,
    /// The middle.
    pub p50: f64,
    /// One in ten lies above.
    pub p90: f64,
    /// One in forty lies above.
    pub p975: f64,
}

/// Gravity at an hour to come.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Ahead {
    /// Hours from pitching.
    pub time_h: f64,
    /// Gravity then.
    pub gravity: Quantiles,
}

/// What a wash is expected to become.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// The moment, hours from pitching.
    pub at_h: f64,
    /// What it most likely is doing.
    pub state: State,
    /// Chance of working, slow, stuck and finished now.
    pub chance: [f64; 4],
    /// Chance that it stays stuck in the end.
    pub ends_stuck: f64,
    /// First hour from which on it falls by less than 0.001 in 72 h.
    pub end_h: Quantiles,
    /// Gravity 72 h later.
    pub final_gravity: Quantiles,
    /// Strength then, % vol at 20 °C.
    pub final_strength_vol: Quantiles,
    /// Litres of pure alcohol then, at 20 °C.
    pub pure_alcohol_l: Quantiles,
    /// Gravity now.
    pub gravity_now: Quantiles,
    /// Gravity with everything gone that could ferment.
    pub expected_gravity: Quantiles,
    /// Fall in the 48 h around the moment, the middle.
    pub fall_48h: f64,
    /// Gravity from the moment on, 45 days of it.
    pub ahead: Vec<Ahead>,
    /// Readings that are doubted.
    pub doubted: Vec<Doubted>,
    /// Hour of the last unplanned act the outlook begins anew from.
    pub rescued_h: Option<f64>,
    /// Washes that were simulated for it.
    pub simulated: usize,
}

/// The seed of every forecast.
const SEED: u64 = 0x05ee_d0fa_3a54;

fn quantiles(values: impl Iterator<Item = f64>) -> Quantiles {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    let at = |share: f64| {
        let place = share * (sorted.len() - 1) as f64;
        let low = place.floor();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a place in the list"
        )]
        let index = low as usize;
        let above = sorted[(index + 1).min(sorted.len() - 1)];
        sorted[index] + (above - sorted[index]) * (place - low)
    };
    Quantiles { p025: at(0.025), p10: at(0.1), p50: at(0.5), p90: at(0.9), p975: at(0.975) }
}

/// Chance of each state, from what each possible wash is now.
fn chances(ends: &[End]) -> [f64; 4] {
    let mut counts = [0.0; 4];
    for end in ends {
        counts[state_of(end) as usize] += 1.0;
    }
    // One wash in a few hundred is never ruled out.
    counts.map(|count| (count + 0.5) / (ends.len() as f64 + 2.0))
}

fn state_of(end: &End) -> State {
    let left = end.gravity_now - end.rest;
    let over = end.gravity_now - end.limit;
    if end.stuck {
        if left <= 0.0016 {
            State::Stuck
        } else if end.fall_48h < 0.0035 {
            State::Slow
        } else {
            State::Working
        }
    } else if left <= 0.0012 || over <= 0.0015 {
        State::Finished
    } else if end.fall_48h < 0.0035 {
        State::Slow
    } else {
        State::Working
    }
}

/// The answer: finished only when it is nearly sure, else what is likeliest.
fn answer(chance: &[f64; 4]) -> State {
    const ALL: [State; 4] = [State::Working, State::Slow, State::Stuck, State::Finished];
    // Cost of each answer by truth: finished said too soon is the worst (judgement).
    const COST: [[f64; 4]; 4] =
        [[0.0, 0.5, 2.0, 5.0], [0.5, 0.0, 1.0, 5.0], [2.0, 1.0, 0.0, 5.0], [1.0, 1.0, 2.0, 0.0]];
    let cost = |said: usize| (0..4).map(|truth| chance[truth] * COST[truth][said]).sum::<f64>();
    let best = (0..4).min_by(|&a, &b| cost(a).total_cmp(&cost(b))).unwrap_or(0);
    ALL[best]
}

fn ahead(ends: &[End], at_h: f64) -> Vec<Ahead> {
    let one = |(place, hours): (usize, f64)| Ahead {
        time_h: at_h + hours,
        gravity: quantiles(ends.iter().map(|end| end.ahead[place])),
    };
    AHEAD_H.into_iter().enumerate().map(one).collect()
}

/// Forecasts a wash at a moment.
///
/// # Errors
/// [`RecipeError`] naming what of the recipe cannot be.
pub fn forecast(recipe: &Recipe, log: &Log, at_h: f64) -> Result<Forecast, RecipeError> {
    recipe.check()?;
    let problem = Problem::new(recipe, log, at_h);
    let mut chance = Chance::seeded(SEED);
    let (washes, simulated) = sample(&problem, &mut chance);
    let ends: Vec<End> = washes.iter().map(|z| carry_on(&problem, z, &mut chance)).collect();
    let chances = chances(&ends);
    let of = |value: fn(&End) -> f64| quantiles(ends.iter().map(value));
    Ok(Forecast {
        at_h,
        state: answer(&chances),
        chance: chances,
        ends_stuck: ends.iter().filter(|end| end.stuck).count() as f64 / ends.len() as f64,
        end_h: of(|end| end.end_h),
        final_gravity: of(|end| end.gravity),
        final_strength_vol: of(|end| end.strength_vol),
        pure_alcohol_l: of(|end| end.pure_alcohol_l),
        gravity_now: of(|end| end.gravity_now),
        expected_gravity: of(|end| end.limit),
        fall_48h: of(|end| end.fall_48h).p50,
        ahead: ahead(&ends, at_h),
        doubted: doubt::find(&problem, log, &washes),
        rescued_h: problem.rescued_h,
        simulated: simulated + washes.len(),
    })
}

#[cfg(test)]
pub(crate) use tests::{read as sample_log, recipe as sample_recipe};

#[cfg(test)]
mod tests {
    use super::{State, forecast};
    use crate::{
        Act, ActKind, Buffer, Fermentable, Glass, Kind, Log, Material, Nutrient, Reading, Recipe,
        Room, Yeast, YeastKind,
    };

    pub(crate) fn recipe() -> Recipe {
        let sugar = Fermentable {
            name: Material::Sucrose,
            kg: Some(4.5),
            sugar_percent: None,
            extract_percent: None,
            mash_efficiency_percent: None,
            mash_c: None,
            enzyme: None,
            litres: None,
            brix: None,
        };
        Recipe {
            format: 1,
            title: String::new(),
            start: String::new(),
            kind: Kind::Sugar,
            litres: 25.0,
            fermentables: vec![sugar],
            yeast: Yeast { kind: YeastKind::Wine, grams: 25.0 },
            nutrients: vec![Nutrient {
                at_h: 0.0,
                name: "DAP".to_owned(),
                grams: 25.0,
                yan_mg_per_g: 212.0,
            }],
            buffer: Some(Buffer { name: "chalk".to_owned() }),
            room: Room {
                ambient_c: 22.0,
                insulated: false,
                heater_c: None,
                heater_w: None,
                volume_m3: None,
            },
            reading: Reading {
                hydrometer_true_at_c: 20.0,
                hydrometer_step: 0.001,
                sample_discarded_ml: 0.0,
                fermenter_empty_kg: None,
            },
        }
    }

    pub(crate) fn read(rows: &[(f64, f64)]) -> Log {
        let row = |&(time_h, gravity): &(f64, f64)| Glass {
            time_h,
            gravity: Some(gravity),
            temperature_c: Some(22.0),
            ..Glass::default()
        };
        Log { glass: rows.iter().map(row).collect(), ..Log::default() }
    }

    #[test]
    fn the_recipe_alone_leaves_room_for_a_wash_that_sticks() {
        let found = forecast(&recipe(), &Log::default(), 0.0).unwrap();
        assert_eq!(found.state, State::Working);
        assert!((0.1..0.6).contains(&found.ends_stuck), "{}", found.ends_stuck);
        assert!((1.066..1.074).contains(&found.gravity_now.p50), "{:?}", found.gravity_now);
        assert_eq!(found, forecast(&recipe(), &Log::default(), 0.0).unwrap(), "twice the same");
    }

    #[test]
    fn rest_high_up_is_stuck_and_rest_at_the_limit_finished() {
        let way = [(0.1, 1.069), (24.0, 1.060), (48.0, 1.045), (72.0, 1.034)];
        let high = [(120.0, 1.024), (200.0, 1.022), (270.0, 1.022), (340.0, 1.022)];
        let low = [(120.0, 1.006), (200.0, 0.988), (270.0, 0.9865), (340.0, 0.9865)];
        let starved = Recipe { nutrients: Vec::new(), ..recipe() };
        let at = |recipe: &Recipe, late: &[(f64, f64)]| {
            forecast(recipe, &read(&[&way[..], late].concat()), 345.0).unwrap().state
        };
        assert_eq!(at(&starved, &high), State::Stuck);
        assert_eq!(at(&recipe(), &low), State::Finished);
    }

    #[test]
    fn fresh_yeast_begins_the_outlook_anew() {
        let rows = [(0.1, 1.069), (24.0, 1.060), (72.0, 1.034), (120.0, 1.024), (200.0, 1.022)];
        let mut log = read(&rows);
        let before = forecast(&recipe(), &log, 205.0).unwrap();
        log.acts.push(Act { time_h: 204.0, kind: ActKind::Yeast, value: 60.0 });
        let after = forecast(&recipe(), &log, 205.0).unwrap();
        assert_eq!((before.rescued_h, after.rescued_h), (None, Some(204.0)));
        assert!(after.final_gravity.p10 < before.final_gravity.p10, "{before:?} {after:?}");
    }
}
