//! The forecast of a wash from its recipe and log at a moment.

use quantities::Band;
use serde::{Deserialize, Serialize};

use crate::chance::Chance;
use crate::doubt::{self, Doubted};
use crate::log::Log;
use crate::outlook::{AHEAD_H, End, carry_on};
use crate::problem::Problem;
use crate::recipe::{Recipe, RecipeError};
use crate::sampler::sample;

/// What a wash is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
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

/// Gravity at an hour to come.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Ahead {
    /// Hours from pitching.
    pub time_h: f64,
    /// Gravity then.
    pub gravity: Band,
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
    pub end_h: Band,
    /// Gravity 72 h later.
    pub final_gravity: Band,
    /// Strength then, % vol at 20 °C.
    pub final_strength_vol: Band,
    /// Litres of pure alcohol then, at 20 °C.
    pub pure_alcohol_l: Band,
    /// Gravity now.
    pub gravity_now: Band,
    /// Gravity with everything gone that could ferment.
    pub expected_gravity: Band,
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

/// What all possible washes say of one figure.
fn band(ends: &[End], value: impl Fn(&End) -> f64) -> Band {
    let draws: Vec<f64> = ends.iter().map(value).collect();
    Band::of_draws(&draws).unwrap_or_else(|| Band::point(0.0))
}

fn ahead(ends: &[End], at_h: f64) -> Vec<Ahead> {
    let one = |(place, hours): (usize, f64)| Ahead {
        time_h: at_h + hours,
        gravity: band(ends, |end| end.ahead[place]),
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
    let of = |value: fn(&End) -> f64| band(&ends, value);
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
    use crate::{Act, ActKind, Buffer, FloatReading, Glass, Log, Recipe};

    /// A sugar wash with chalk and enough nutrient.
    pub(crate) fn recipe() -> Recipe {
        let plain: Recipe = toml::from_str(include_str!("../tests/wash.toml")).unwrap();
        Recipe { buffer: Some(Buffer { name: "chalk".to_owned() }), ..plain }
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

    #[test]
    fn wrong_weights_ph_and_floats_are_doubted_and_no_right_ones() {
        let way = [(0.1, 1.069), (24.0, 1.060), (48.0, 1.045), (72.0, 1.034), (96.0, 1.026)];
        let mut log = read(&way);
        for (row, kg) in log.glass.iter_mut().zip([30.0, 29.8, 29.43, 27.2, 28.97]) {
            row.weight_kg = Some(kg);
            row.ph = Some(if row.time_h == 48.0 { 7.5 } else { 4.2 });
        }
        let float = |(time_h, gravity): (f64, f64)| FloatReading {
            time_h,
            gravity: Some(if time_h == 72.0 { 1.110 } else { gravity }),
            temperature_c: None,
        };
        log.float = way.map(float).to_vec();
        let doubted = forecast(&recipe(), &log, 97.0).unwrap().doubted;
        let found: Vec<(f64, &str)> = doubted.iter().map(|one| (one.time_h, one.column)).collect();
        assert_eq!(found, [(48.0, "ph"), (72.0, "weight_kg"), (72.0, "float")]);
        assert!(doubted[1].why.contains("lower"), "{doubted:?}");
    }
}
