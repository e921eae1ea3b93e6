//! A forecast in words and columns, for a person before heat.

use std::fmt::Write;

use advise::Outset;
use quantities::{Band, FOUR_IN_FIVE};
use still::outcome::Forecast;
use still::plan::RunPlan;

use crate::print::{Sheet, clock, columns, number};

/// The whole text.
pub(super) fn write(plan: &RunPlan, forecast: &Forecast, outset: Option<&Outset>) -> String {
    let mut text = format!("{}\n\n{}\n", plan.title, times(forecast));
    text.push_str(&columns(&steps(plan, forecast)));
    if let Some(outset) = outset {
        write!(text, "\n{}", ranges(outset)).expect("writing to a String cannot fail");
    }
    write!(text, "\n{}", totals(forecast)).expect("writing to a String cannot fail");
    for warning in &forecast.warnings {
        write!(text, "\nwarning: {}", warning.text).expect("writing to a String cannot fail");
    }
    if !forecast.warnings.is_empty() {
        text.push('\n');
    }
    text.push_str("\nA forecast, not a promise. Local law applies; never leave a heated still.\n");
    text
}

fn times(forecast: &Forecast) -> Sheet {
    let mut sheet = Sheet::new();
    sheet.row("coolant on before", forecast.boil_s / 60.0, 1, "min after heater on");
    sheet.row("stages filled after", forecast.ready_s / 60.0, 1, "min");
    match forecast.plateau_c {
        Some(plateau_c) => sheet.row("plateau", plateau_c, 2, "°C"),
        None => sheet.word("plateau", "none".to_owned(), ""),
    }
    sheet
}

/// What the doubt about the charge leaves open.
fn ranges(outset: &Outset) -> String {
    let row = |label: &str, band: Band, shown: &dyn Fn(f64) -> String| {
        let range = format!("{} to {}", shown(band.p10), shown(band.p90));
        vec![label.to_owned(), shown(band.p50), range]
    };
    let litres = |value: f64| number(value, 2);
    columns(&[
        vec![String::new(), "as stated".to_owned(), format!("range ({FOUR_IN_FIVE})")],
        row("hearts should end, h:mm", outset.hearts_end_s, &clock),
        row("hearts in all, L at 20 °C", outset.hearts_l, &litres),
        row("run should end, h:mm", outset.end_s, &clock),
    ])
}

fn steps(plan: &RunPlan, forecast: &Forecast) -> Vec<Vec<String>> {
    let head =
        ["step", "from h:mm", "to h:mm", "ended by", "mL", "% vol", "pure mL", "head °C", "pot °C"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    for step in &forecast.steps {
        let drawn = |value: f64, decimals| {
            if step.litres_20c > 0.0 { number(value, decimals) } else { "-".to_owned() }
        };
        rows.push(vec![
            plan.step_name(step.index).to_owned(),
            clock(step.start_s),
            clock(step.end_s),
            step.ended_by.words().to_owned(),
            drawn(step.litres_20c * 1000.0, 0),
            drawn(step.strength_vol.unwrap_or_default(), 1),
            drawn(step.pure_alcohol_l * 1000.0, 0),
            number(step.head_end_c, 2),
            number(step.pot_end_c, 1),
        ]);
    }
    rows
}

fn totals(forecast: &Forecast) -> Sheet {
    let totals = &forecast.totals;
    let mut sheet = Sheet::new();
    sheet.row("drawn", totals.litres_20c, 2, "L at 20 °C");
    sheet.row("pure alcohol in it", totals.pure_alcohol_l, 2, "L");
    sheet.row("left in the pot", totals.left_in_pot_l, 2, "L at 20 °C");
    sheet.row("its strength", totals.left_in_pot_vol, 2, "% vol");
    sheet.row("heater energy", totals.energy_kwh, 2, "kWh");
    sheet.row("coolant", totals.coolant_l, 0, "L");
    sheet
}
