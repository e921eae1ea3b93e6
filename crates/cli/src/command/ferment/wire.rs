//! The forecast of a wash as one JSON object.

use ferment::{Charge, Doubted, Forecast, Log, Recipe, State};
use quantities::Band;
use serde::Serialize;

use crate::print::{Warning, number};

#[derive(Debug, Serialize)]
pub(crate) struct Wire<'a> {
    at_h: f64,
    state: State,
    chance: Chance,
    ends_stuck_chance: f64,
    end_h: Band,
    final_gravity: Band,
    final_strength_vol: Band,
    pure_alcohol_l: Band,
    gravity_now: Middle,
    expected_gravity: Middle,
    doubted: &'a [Doubted],
    reasons: Vec<String>,
    warnings: Vec<Warning>,
    charge: ChargeWire,
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
struct ChargeWire {
    litres: f64,
    litres_sd: f64,
    strength_vol: f64,
    strength_sd: f64,
}

/// Reasons for the state, the settling reading last.
pub(super) fn reasons(log: &Log, forecast: &Forecast) -> Vec<String> {
    let mut reasons = ferment::reasons(log, forecast);
    let settling = ferment::settling(forecast);
    let near = settling.at_h.map(|hour| format!("near {} h: ", number(hour, 0)));
    reasons.push(near.unwrap_or_default() + &settling.text);
    reasons
}

fn charge(forecast: &Forecast) -> ChargeWire {
    let Charge { litres, litres_sd, strength_vol, strength_sd } = Charge::of(forecast);
    ChargeWire { litres, litres_sd, strength_vol, strength_sd }
}

fn warnings(recipe: &Recipe, forecast: &Forecast) -> Vec<Warning> {
    let cautions = ferment::cautions(recipe, forecast).into_iter();
    cautions.map(|one| Warning { code: one.code, text: one.text }).collect()
}

impl<'a> Wire<'a> {
    pub(crate) fn new(recipe: &Recipe, log: &Log, forecast: &'a Forecast) -> Self {
        let [working, slow, stuck, finished] = forecast.chance;
        let middle = |of: &Band| Middle { p10: of.p10, p50: of.p50, p90: of.p90 };
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
            reasons: reasons(log, forecast),
            warnings: warnings(recipe, forecast),
            charge: charge(forecast),
        }
    }
}
