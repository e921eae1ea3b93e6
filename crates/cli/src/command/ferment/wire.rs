//! The forecast of a wash as one JSON object.

use ferment::{Doubted, Forecast, Log, Quantiles, Recipe, State};
use serde::Serialize;

use super::reasons;
use crate::print::Warning;

#[derive(Debug, Serialize)]
pub(super) struct Wire<'a> {
    at_h: f64,
    state: State,
    chance: Chance,
    ends_stuck_chance: f64,
    end_h: Quantiles,
    final_gravity: Quantiles,
    final_strength_vol: Quantiles,
    pure_alcohol_l: Quantiles,
    gravity_now: Middle,
    expected_gravity: Middle,
    doubted: &'a [Doubted],
    reasons: Vec<String>,
    warnings: Vec<Warning>,
    charge: Charge,
}

#[derive(Debug, Serialize)]
struct Chance {
    working: f64,
    slow: f64,
    stuck: f64,
    finished: f64,
}

#[derive(Debug, Serialize)]
struct Middle {
    p10: f64,
    p50: f64,
    p90: f64,
}

/// What a run's plan takes as `[charge]`, with its doubts.
#[derive(Debug, Clone, Copy, Serialize)]
pub(super) struct Charge {
    pub(super) litres: f64,
    pub(super) litres_sd: f64,
    pub(super) strength_vol: f64,
    pub(super) strength_sd: f64,
}

/// Standard deviations between the tenth and the ninth part of ten.
const TENTHS_SD: f64 = 2.563;

impl Charge {
    pub(super) fn of(forecast: &Forecast) -> Self {
        let sd = |of: &Quantiles| (of.p90 - of.p10) / TENTHS_SD;
        let (strength, alcohol) = (&forecast.final_strength_vol, &forecast.pure_alcohol_l);
        let litres = 100.0 * alcohol.p50 / strength.p50.max(0.01);
        // What strength does not explain of the doubt of the pure alcohol is doubt of the litres.
        let relative = |of: &Quantiles| sd(of) / of.p50.max(0.01);
        let rest = relative(alcohol).powi(2) - relative(strength).powi(2);
        let litres_sd = litres * rest.max(0.02_f64.powi(2)).sqrt();
        Self { litres, litres_sd, strength_vol: strength.p50, strength_sd: sd(strength) }
    }
}

impl<'a> Wire<'a> {
    pub(super) fn new(recipe: &Recipe, log: &Log, forecast: &'a Forecast) -> Self {
        let [working, slow, stuck, finished] = forecast.chance;
        let middle = |of: &Quantiles| Middle { p10: of.p10, p50: of.p50, p90: of.p90 };
        Self {
            at_h: forecast.at_h,
            state: forecast.state,
            chance: Chance { working, slow, stuck, finished },
            ends_stuck_chance: forecast.ends_stuck,
            end_h: forecast.end_h,
            final_gravity: forecast.final_gravity,
            final_strength_vol: forecast.final_strength_vol,
            pure_alcohol_l: forecast.pure_alcohol_l,
            gravity_now: middle(&forecast.gravity_now),
            expected_gravity: middle(&forecast.expected_gravity),
            doubted: &forecast.doubted,
            reasons: reasons::of(log, forecast),
            warnings: reasons::cautions(recipe, forecast),
            charge: Charge::of(forecast),
        }
    }
}
