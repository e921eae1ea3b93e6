//! Why the wash is thought to be so, which reading would settle it, and what to mind.

use alcoholometry::density::ETHANOL_DENSITY_20C_KG_M3;
use alcoholometry::wash::sugar::CO2_PER_ETHANOL;
use ferment::{Forecast, Log, Recipe, State};

use crate::print::{Warning, number};

/// Grams of carbon dioxide in a litre of it at 20 °C and 1013 hPa (44.01 g/mol, 24.06 L/mol).
const CO2_G_PER_L: f64 = 1.83;

/// Reasons for the state, the settling reading last.
pub(super) fn of(log: &Log, forecast: &Forecast) -> Vec<String> {
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
    let read = log.glass.iter().filter(|row| row.gravity.is_some());
    match read.clone().next_back() {
        None => reasons.push("no gravity was read yet: this rests on the recipe alone".to_owned()),
        Some(last) if forecast.at_h - last.time_h > 30.0 => {
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
    reasons.push(settling(forecast));
    reasons
}

fn settling(forecast: &Forecast) -> String {
    let most = forecast.chance.iter().fold(0.0, |most: f64, &chance| most.max(chance));
    let hour = number(forecast.at_h + 48.0, 0);
    if most > 0.95 && forecast.state == State::Finished {
        return "nothing is left to settle but a last reading before it is charged".to_owned();
    }
    match forecast.state {
        State::Working => {
            let later = number(forecast.at_h + 24.0, 0);
            format!("a gravity with its temperature near {later} h would tell most")
        }
        State::Slow | State::Stuck | State::Finished => format!(
            "a gravity near {hour} h, sample at 20 °C and without gas, would settle it: lower by 0.002 \
             and it still works; the same, and only a fast ferment of a warm sample with fresh yeast \
             parts stuck from finished (common practice, no source)"
        ),
    }
}

/// What a person should mind.
pub(super) fn cautions(recipe: &Recipe, forecast: &Forecast) -> Vec<Warning> {
    let ethanol_g = forecast.pure_alcohol_l.p50 * ETHANOL_DENSITY_20C_KG_M3;
    let litres = number(ethanol_g * CO2_PER_ETHANOL / CO2_G_PER_L / 10.0, 0);
    let mut warnings = vec![
        Warning {
            code: "carbon_dioxide",
            text: format!(
                "this wash of {} L gives about {litres}0 L of carbon dioxide in all: it has no smell, \
                 lies on the floor and kills; keep air moving, low down too, and nobody asleep there",
                number(recipe.litres, 0)
            ),
        },
        Warning {
            code: "never_seal",
            text: "never seal the fermenter, finished or not: gas must always find its way out"
                .to_owned(),
        },
    ];
    if matches!(forecast.state, State::Slow | State::Stuck) {
        warnings.push(Warning {
            code: "rescue",
            text:
                "before more yeast: look at temperature and pH first; mend those, then pitch yeast \
                   that already works (common practice, no source)"
                    .to_owned(),
        });
    }
    warnings
}
