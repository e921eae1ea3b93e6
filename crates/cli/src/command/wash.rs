//! `middlecut wash`: what so much sugar in so many litres should become.

use alcoholometry::wash::{self, WashForecast, WashInput};
use serde::Serialize;

use crate::args::{SugarKind, WashArgs};
use crate::error::CliError;
use crate::print::{self, Sheet, Warning, number};

#[derive(Debug, Serialize)]
struct WashWire {
    original_gravity: f64,
    plato: f64,
    brix: f64,
    final_gravity: f64,
    strength_vol: f64,
    fermented_l_20c: f64,
    pure_alcohol_l: f64,
    pure_alcohol_l_low: f64,
    pure_alcohol_l_high: f64,
    co2_kg: f64,
    unfermented_kg: f64,
    warnings: Vec<Warning>,
}

/// What a person should mind about the wash.
fn warnings(forecast: &WashForecast) -> Vec<Warning> {
    let beyond = || Warning {
        code: "beyond_usual_yeast",
        text: format!(
            "most yeasts stop near {} % vol: expect less",
            number(wash::forecast::YEAST_LIMIT_VOL, 0)
        ),
    };
    Vec::from_iter(forecast.beyond_usual_yeast.then(beyond))
}

/// Forecasts the wash.
pub(crate) fn run(args: &WashArgs, json: bool) -> Result<(), CliError> {
    let sugars: Vec<wash::Sugar> = args
        .sugar
        .iter()
        .map(|sugar| wash::Sugar { kind: kind(sugar.kind), kg: sugar.kg })
        .collect();
    let forecast = wash::forecast(&WashInput {
        litres: args.litres,
        sugars: &sugars,
        efficiency_percent: args.efficiency,
    })?;
    if json {
        print::json(&wire(&forecast))?;
    } else {
        print::text(&sheet(&forecast).to_string())?;
    }
    Ok(())
}

const fn kind(kind: SugarKind) -> wash::SugarKind {
    match kind {
        SugarKind::Sucrose => wash::SugarKind::Sucrose,
        SugarKind::Dextrose => wash::SugarKind::Dextrose,
        SugarKind::DextroseMonohydrate => wash::SugarKind::DextroseMonohydrate,
        SugarKind::Extract => wash::SugarKind::Extract,
    }
}

fn wire(forecast: &WashForecast) -> WashWire {
    WashWire {
        original_gravity: forecast.original_gravity,
        plato: forecast.plato,
        brix: forecast.brix,
        final_gravity: forecast.final_gravity,
        strength_vol: forecast.strength_vol,
        fermented_l_20c: forecast.fermented_l_20c,
        pure_alcohol_l: forecast.pure_alcohol_l,
        pure_alcohol_l_low: forecast.pure_alcohol_l_low,
        pure_alcohol_l_high: forecast.pure_alcohol_l_high,
        co2_kg: forecast.co2_kg,
        unfermented_kg: forecast.unfermented_kg,
        warnings: warnings(forecast),
    }
}

fn sheet(forecast: &WashForecast) -> Sheet {
    let mut sheet = Sheet::new();
    sheet.row("original gravity", forecast.original_gravity, 4, "20/20 °C");
    sheet.row("the same", forecast.plato, 2, "°Plato");
    sheet.row("final gravity", forecast.final_gravity, 4, "20/20 °C");
    sheet.row("strength", forecast.strength_vol, 2, "% vol");
    sheet.row("fermented wash", forecast.fermented_l_20c, 2, "L at 20 °C");
    let low = number(forecast.pure_alcohol_l_low, 2);
    let high = number(forecast.pure_alcohol_l_high, 2);
    sheet.row("pure alcohol", forecast.pure_alcohol_l, 2, &format!("L ({low} to {high})"));
    sheet.row("carbon dioxide", forecast.co2_kg, 2, "kg, which has no smell and gathers low: air");
    for warning in warnings(forecast) {
        sheet.remark(warning.text);
    }
    sheet
}
