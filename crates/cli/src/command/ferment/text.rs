//! The forecast of a wash in words: one calm sentence first.

use ferment::{Charge, Forecast, Log, Recipe, State};
use quantities::Band;

use super::wire::reasons;
use crate::print::{Sheet, number};

fn sentence(forecast: &Forecast) -> String {
    let left = |hour: f64| number((hour - forecast.at_h).max(0.0) / 24.0, 1);
    let days = format!("{} to {} days", left(forecast.end_h.p10), left(forecast.end_h.p90));
    match forecast.state {
        State::Working => format!("The wash works; its end is expected in {days}."),
        State::Slow => format!("The wash is slow; its end is expected in {days}."),
        State::Stuck => "The wash is most likely stuck above what could ferment.".to_owned(),
        State::Finished => "The wash is most likely finished.".to_owned(),
    }
}

/// All of it.
pub(crate) fn write(recipe: &Recipe, log: &Log, forecast: &Forecast) -> String {
    let mut sheet = Sheet::new();
    let band = |of: &Band, decimals: usize, unit: &str| {
        format!("{unit}  ({} to {})", number(of.p10, decimals), number(of.p90, decimals))
    };
    let mut row = |label, of: &Band, decimals: usize, unit: &str| {
        sheet.row(label, of.p50, decimals, &band(of, decimals, unit));
    };
    row("gravity now", &forecast.gravity_now, 4, "20/20 °C");
    row("could ferment to", &forecast.expected_gravity, 4, "20/20 °C");
    row("final gravity", &forecast.final_gravity, 4, "20/20 °C");
    row("final strength", &forecast.final_strength_vol, 2, "% vol");
    row("pure alcohol", &forecast.pure_alcohol_l, 2, "L at 20 °C");
    row("end", &forecast.end_h, 0, "h from pitching");
    let [working, slow, stuck, finished] = forecast.chance.map(|chance| number(100.0 * chance, 0));
    sheet.remark(format!(
        "chance now: working {working} %, slow {slow} %, stuck {stuck} %, finished {finished} %; \
         that it ends stuck: {} %",
        number(100.0 * forecast.ends_stuck, 0)
    ));
    for doubted in &forecast.doubted {
        let (hour, value) = (number(doubted.time_h, 2), doubted.value);
        sheet.remark(format!("doubted: {} {value} at {hour} h: {}", doubted.column, doubted.why));
    }
    for reason in reasons(log, forecast) {
        sheet.remark(reason);
    }
    if forecast.state == State::Finished {
        let charge = Charge::of(forecast);
        sheet.remark(format!(
            "as a charge: {} L (± {}) of {} % vol (± {})",
            number(charge.litres, 1),
            number(charge.litres_sd, 1),
            number(charge.strength_vol, 2),
            number(charge.strength_sd, 2)
        ));
    }
    for warning in ferment::cautions(recipe, forecast) {
        sheet.remark(format!("mind: {}", warning.text));
    }
    format!("{}\n{sheet}", sentence(forecast))
}
