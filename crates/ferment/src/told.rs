//! A forecast in words: why it is thought so, which reading would settle it, what to mind.

use crate::forecast::{Forecast, State};
use crate::gas::{DAY_PPM, DEADLY_PPM, Gas, SHORT_PPM};
use crate::log::Log;
use crate::recipe::Recipe;

/// What a person should mind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// Which.
    pub code: &'static str,
    /// In words.
    pub text: String,
}

/// The reading that would tell most.
#[derive(Debug, Clone, PartialEq)]
pub struct Settling {
    /// When, hours from pitching; none where nothing is open.
    pub at_h: Option<f64>,
    /// What, and what would follow from it.
    pub text: String,
}

/// So sure an end is, nothing more has to be read for it.
const SURE: f64 = 0.95;
/// A last reading older than this is said to be old, h.
const OLD_H: f64 = 30.0;
/// Less gas than this that is still to come is told as hardly any, L (judgement).
const GAS_TOLD_L: f64 = 1.0;

/// A rounded number without a sign before nothing.
fn number(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let is_zero = text.trim_start_matches('-').chars().all(|c| matches!(c, '0' | '.'));
    if is_zero { text.trim_start_matches('-').to_owned() } else { text }
}

/// Two figures that count.
fn about(value: f64) -> String {
    let step = 10_f64.powf((value.max(1e-9).log10().floor() - 1.0).max(0.0));
    number((value / step).round() * step, usize::from(value < 10.0))
}

/// Reasons for the state.
#[must_use]
pub fn reasons(log: &Log, forecast: &Forecast) -> Vec<String> {
    let now = &forecast.gravity_now;
    let limit = &forecast.expected_gravity;
    let mut reasons = vec![
        format!(
            "gravity now about {} ({} to {}); with all gone that can ferment {} ({} to {})",
            number(now.p50, 4),
            number(now.p10, 4),
            number(now.p90, 4),
            number(limit.p50, 4),
            number(limit.p10, 4),
            number(limit.p90, 4)
        ),
        format!("it falls by {} in the 48 h around the moment", number(forecast.fall_48h, 4)),
    ];
    match log.glass.iter().rfind(|row| row.gravity.is_some()) {
        None => reasons.push("no gravity was read yet: this rests on the recipe alone".to_owned()),
        Some(last) if forecast.at_h - last.time_h > OLD_H => {
            let hours = number(forecast.at_h - last.time_h, 0);
            reasons.push(format!("the last gravity was read {hours} h before"));
        }
        Some(_) => {}
    }
    if let Some(hour) = forecast.rescued_h {
        reasons.push(format!(
            "something was done at {} h: the outlook begins anew there",
            number(hour, 1)
        ));
    }
    reasons
}

/// Which reading would settle the state.
#[must_use]
pub fn settling(forecast: &Forecast) -> Settling {
    let most = forecast.chance.iter().fold(0.0, |most: f64, &chance| most.max(chance));
    let of = |at_h, text: &str| Settling { at_h, text: text.to_owned() };
    if most > SURE && forecast.state == State::Finished {
        return of(None, "nothing is left to settle but a last reading before it is charged");
    }
    match forecast.state {
        State::Working => {
            of(Some(forecast.at_h + 24.0), "a gravity with its temperature would tell most")
        }
        State::Slow | State::Stuck | State::Finished => of(
            Some(forecast.at_h + 48.0),
            "a gravity, sample at 20 °C and without gas, would settle it: lower by 0.002 and it \
             still works; the same, and only a fast ferment of a warm sample with fresh yeast parts \
             stuck from finished (common practice, no source)",
        ),
    }
}

fn carbon_dioxide(recipe: &Recipe, forecast: &Forecast) -> String {
    let gas = Gas::of(recipe, forecast);
    let air = match gas.room {
        None => "how much that is for the air is reckoned once the volume of the room is in the \
                 recipe"
            .to_owned(),
        Some(room) => {
            let volume = about(room.volume_m3);
            let limit = format!(
                "{DAY_PPM:.0} ppm (the limit for 8 hours at work: OSHA, as NIOSH documents it)"
            );
            match room.hours_to_day_limit {
                None => format!(
                    "in this room of {volume} m³ what is to come makes about {} ppm if no air moves; \
                     the bound is {limit}",
                    about(room.closed_ppm)
                ),
                Some(hours) => format!(
                    "in this room of {volume} m³ with no air moving {limit} can be passed within \
                     about {} h, and all that is to come would make {} ppm ({SHORT_PPM:.0} is the \
                     bound for a quarter of an hour: ACGIH and NIOSH; {DEADLY_PPM:.0} is at once \
                     dangerous to life: NIOSH); it takes some {} m³ of fresh air an hour to stay below",
                    about(hours),
                    about(room.closed_ppm),
                    about(room.fresh_air_m3_per_h)
                ),
            }
        }
    };
    let come = if gas.to_come_l < GAS_TOLD_L {
        "hardly any of it still to come; ".to_owned()
    } else {
        let (rest, fastest) = (about(gas.to_come_l), about(gas.fastest_l_per_h));
        format!("{rest} of them still to come, up to {fastest} L an hour; ")
    };
    format!(
        "this wash of {} L gives about {} L of carbon dioxide in all, {come}{air}. It has no smell, lies on the floor and kills: keep air moving, low down \
         too, never put your head into the fermenter, and nobody sleeps there. A reckoning is no gas \
         alarm",
        number(recipe.litres, 0),
        about(gas.in_all_l),
    )
}

/// What a person should mind.
#[must_use]
pub fn cautions(recipe: &Recipe, forecast: &Forecast) -> Vec<Caution> {
    let of = |code, text: &str| Caution { code, text: text.to_owned() };
    let mut cautions = vec![
        of("carbon_dioxide", &carbon_dioxide(recipe, forecast)),
        of(
            "never_seal",
            "never seal the fermenter, finished or not: gas must always find its way out",
        ),
    ];
    if matches!(forecast.state, State::Slow | State::Stuck) {
        cautions.push(of(
            "rescue",
            "before more yeast: look at temperature and pH first; mend those, then pitch yeast that \
             already works (common practice, no source)",
        ));
    }
    cautions
}
