//! What a wash is doing and will become.

use ferment::{Charge, Forecast, Gas, Planned, State};
use quantities::Band;
use serde::Serialize;
use store::WashState;
use utoipa::ToSchema;

use super::twin::{Twin, exact_twin};
use super::wash::WashChargeWire;

exact_twin!(
    /// What is not known of a number: one in forty and one in ten lie below and above.
    WashBandWire, Band, {
        /// One in forty lies below.
        p025: f64,
        /// One in ten lies below.
        p10: f64,
        /// The middle.
        p50: f64,
        /// One in ten lies above.
        p90: f64,
        /// One in forty lies above.
        p975: f64,
    }
);

/// What it is doing.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum WashStateWire {
    /// It falls.
    Working,
    /// It falls, but crawls.
    Slow,
    /// It rests above what could ferment.
    Stuck,
    /// It is done.
    Finished,
}

/// Chances of each.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub(crate) struct WashChanceWire {
    working: f64,
    slow: f64,
    stuck: f64,
    finished: f64,
}

/// Gravity at a moment to come.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct WashAheadWire {
    /// When, ms of UTC.
    at_ms: i64,
    /// Gravity then.
    gravity: WashBandWire,
}

/// A reading that is doubted.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct WashDoubtWire {
    /// Hours from pitching, as its line has it.
    time_h: f64,
    /// Its column.
    column: String,
    /// Whether the gravity of that hour's line is in doubt by it.
    spoils_the_glass: bool,
    /// What was written.
    value: f64,
    /// Why.
    why: String,
}

/// The reading that would tell most.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct WashSettlingWire {
    /// When, ms of UTC; none where nothing is open.
    at_ms: Option<i64>,
    /// What, and what would follow from it.
    text: String,
}

/// One thing that must hold before it counts as finished.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct WashConditionWire {
    /// `steady`, `low`, `no_sugar`, `gas_stopped` or `not_stuck`.
    code: &'static str,
    /// Whether it holds.
    holds: bool,
    /// What must hold.
    text: String,
    /// What was found so far.
    found: String,
}

/// What to mind.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct WashCautionWire {
    /// Which.
    code: &'static str,
    /// In words.
    text: String,
}

/// The carbon dioxide of the wash.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct WashGasWire {
    /// L in all.
    in_all_l: f64,
    /// L still to come.
    to_come_l: f64,
    /// The most in an hour from now on, L.
    fastest_l_per_h: f64,
    /// What all that is to come makes of the air of the room, were none let out, ppm; none where the
    /// volume of the room is not known.
    closed_room_ppm: Option<f64>,
    /// Hours at the fastest until a closed room holds 5000 ppm.
    hours_to_5000_ppm: Option<f64>,
    /// Fresh air that keeps the room below, m³/h.
    fresh_air_m3_per_h: Option<f64>,
}

exact_twin!(
    /// What the recipe comes to by itself.
    WashPlannedWire, Planned, {
        /// Gravity before fermentation.
        original_gravity: f64,
        /// Extract, g/L.
        extract_g_per_l: f64,
        /// Yeast-assimilable nitrogen of the doses, mg/L.
        nitrogen_mg_per_l: f64,
        /// Dry yeast, g/L.
        yeast_g_per_l: f64,
        /// Heat the fermentation gives, MJ.
        heat_mj: f64,
        /// By how much that would warm the wash if none were lost, K.
        warming_k: f64,
    }
);

/// The forecast of a wash.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct WashForecastWire {
    /// The moment it is of, ms of UTC.
    at_ms: i64,
    /// The same, hours from pitching.
    at_h: f64,
    /// What it most likely is doing.
    state: WashStateWire,
    /// Chances of each.
    chance: WashChanceWire,
    /// Chance that it stays stuck in the end.
    ends_stuck_chance: f64,
    /// Its end, hours from pitching.
    end_h: WashBandWire,
    /// Gravity then.
    final_gravity: WashBandWire,
    /// Strength then, % vol at 20 °C.
    final_strength_vol: WashBandWire,
    /// L of pure alcohol then.
    pure_alcohol_l: WashBandWire,
    /// Gravity now.
    gravity_now: WashBandWire,
    /// Gravity with all gone that could ferment.
    expected_gravity: WashBandWire,
    /// Fall in the 48 h around the moment.
    fall_48h: f64,
    /// Gravity from now on.
    ahead: Vec<WashAheadWire>,
    /// Readings that are doubted.
    doubted: Vec<WashDoubtWire>,
    /// Why it is thought so.
    reasons: Vec<String>,
    /// The reading that would tell most.
    settling: WashSettlingWire,
    /// What must hold before it counts as finished.
    conditions: Vec<WashConditionWire>,
    /// What to mind.
    cautions: Vec<WashCautionWire>,
    /// What the recipe comes to by itself.
    planned: WashPlannedWire,
    /// Its carbon dioxide.
    gas: WashGasWire,
    /// The whole wash at its end, as the charge of a still.
    charge: WashChargeWire,
}

impl WashForecastWire {
    /// Of a wash and its forecast.
    pub(crate) fn of(state: &WashState, forecast: &Forecast) -> Self {
        let (recipe, log) = (&state.recipe, state.log(forecast.at_h));
        let [working, slow, stuck, finished] = forecast.chance;
        let settling = ferment::settling(forecast);
        let conditions = ferment::finished(recipe, &log, forecast, state.tasted());
        let ahead = forecast.ahead.iter().map(|one| WashAheadWire {
            at_ms: state.moment(one.time_h),
            gravity: one.gravity.twin(),
        });
        let doubted = forecast.doubted.iter().map(|one| WashDoubtWire {
            time_h: one.time_h,
            column: one.column.to_owned(),
            spoils_the_glass: one.spoils_the_glass(),
            value: one.value,
            why: one.why.clone(),
        });
        let cautions = ferment::cautions(recipe, forecast).into_iter();
        Self {
            at_ms: state.moment(forecast.at_h),
            at_h: forecast.at_h,
            state: match forecast.state {
                State::Working => WashStateWire::Working,
                State::Slow => WashStateWire::Slow,
                State::Stuck => WashStateWire::Stuck,
                State::Finished => WashStateWire::Finished,
            },
            chance: WashChanceWire { working, slow, stuck, finished },
            ends_stuck_chance: forecast.ends_stuck,
            end_h: forecast.end_h.twin(),
            final_gravity: forecast.final_gravity.twin(),
            final_strength_vol: forecast.final_strength_vol.twin(),
            pure_alcohol_l: forecast.pure_alcohol_l.twin(),
            gravity_now: forecast.gravity_now.twin(),
            expected_gravity: forecast.expected_gravity.twin(),
            fall_48h: forecast.fall_48h,
            ahead: ahead.collect(),
            doubted: doubted.collect(),
            reasons: ferment::reasons(&log, forecast),
            settling: WashSettlingWire {
                at_ms: settling.at_h.map(|hours| state.moment(hours)),
                text: settling.text,
            },
            conditions: conditions
                .into_iter()
                .map(|one| {
                    let ferment::Condition { code, holds, text, found } = one;
                    WashConditionWire { code, holds, text, found }
                })
                .collect(),
            cautions: cautions
                .map(|one| WashCautionWire { code: one.code, text: one.text })
                .collect(),
            planned: Planned::of(recipe).twin(),
            gas: gas(&Gas::of(recipe, forecast)),
            charge: charge(&Charge::of(forecast)),
        }
    }
}

fn gas(of: &Gas) -> WashGasWire {
    WashGasWire {
        in_all_l: of.in_all_l,
        to_come_l: of.to_come_l,
        fastest_l_per_h: of.fastest_l_per_h,
        closed_room_ppm: of.room.map(|room| room.closed_ppm),
        hours_to_5000_ppm: of.room.and_then(|room| room.hours_to_day_limit),
        fresh_air_m3_per_h: of.room.map(|room| room.fresh_air_m3_per_h),
    }
}

fn charge(of: &Charge) -> WashChargeWire {
    let Charge { litres, litres_sd, strength_vol, strength_sd } = *of;
    WashChargeWire { litres, litres_sd, strength_vol, strength_sd, lot: None }
}
