//! Forecasts as a file: one row a run and moment, the columns that a scorer reads.

use std::fmt::Write as _;
use std::path::Path;

use quantities::Band;
use workbench::Forecast;

use super::table::{Row, Table};
use crate::error::BenchError;

/// Columns that must be there.
const NEEDED: [&str; 13] = [
    "run",
    "at_fraction",
    "made_at_s",
    "end_p025",
    "end_p10",
    "end_p50",
    "end_p90",
    "end_p975",
    "litres_p025",
    "litres_p10",
    "litres_p50",
    "litres_p90",
    "litres_p975",
];
/// Columns that may be there.
const FURTHER: [&str; 6] = [
    "strength_now",
    "strength_p10",
    "strength_p90",
    "charge_strength_vol",
    "charge_litres",
    "fault",
];

/// The file's text.
pub(super) fn write<'a>(forecasts: impl Iterator<Item = &'a Forecast>) -> String {
    let mut text = format!("{},{}\n", NEEDED.join(","), FURTHER.join(","));
    for forecast in forecasts {
        let mut cells = vec![
            cell(&forecast.run),
            forecast.at_fraction.to_string(),
            forecast.made_at_s.to_string(),
        ];
        cells.extend(forecast.end.to_array().map(|s| format!("{s:.1}")));
        cells.extend(forecast.litres.to_array().map(|litres| format!("{litres:.4}")));
        let number =
            |value: Option<f64>| value.map(|value| format!("{value:.2}")).unwrap_or_default();
        let [low, high] = forecast.strength_80.map_or([None, None], |band| band.map(Some));
        cells.extend([forecast.strength_now, low, high].map(number));
        cells.extend(
            [forecast.charge_strength_vol, forecast.charge_litres]
                .map(|value| value.map(|value| format!("{value:.3}")).unwrap_or_default()),
        );
        cells.push(cell(forecast.fault.as_deref().unwrap_or_default()));
        let _ = writeln!(text, "{}", cells.join(","));
    }
    text
}

/// A text cell, in quotation marks where it needs them.
fn cell(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

/// Reads such a file.
pub(super) fn read(file: &Path) -> Result<Vec<Forecast>, BenchError> {
    let table = Table::read(file, &NEEDED, &FURTHER)?;
    table.rows().map(|row| forecast(&row)).collect()
}

fn forecast(row: &Row<'_>) -> Result<Forecast, BenchError> {
    let band = [row.number_if_any("strength_p10")?, row.number_if_any("strength_p90")?];
    let fault = row.text("fault");
    Ok(Forecast {
        run: row.text("run").to_owned(),
        at_fraction: row.number("at_fraction")?,
        made_at_s: row.number("made_at_s")?,
        end: five(row, "end")?,
        litres: five(row, "litres")?,
        strength_now: row.number_if_any("strength_now")?,
        strength_80: match band {
            [Some(low), Some(high)] => Some([low, high]),
            _ => None,
        },
        charge_strength_vol: row.number_if_any("charge_strength_vol")?,
        charge_litres: row.number_if_any("charge_litres")?,
        fault: (!fault.is_empty()).then(|| fault.to_owned()),
        drawn_l: None,
        naive_strength_vol: None,
        untrusted: Vec::new(),
    })
}

fn five(row: &Row<'_>, of: &str) -> Result<Band, BenchError> {
    let mut values = [0.0; 5];
    for (value, level) in values.iter_mut().zip(["p025", "p10", "p50", "p90", "p975"]) {
        *value = row.number(&format!("{of}_{level}"))?;
    }
    if let Some([low, high]) =
        values.windows(2).find(|pair| matches!(pair, [low, high] if low > high))
    {
        let bound = "must rise from the lowest quantile to the highest";
        return Err(row.refused(of, &format!("{low} then {high}"), bound, "sort the quantiles"));
    }
    Ok(Band::from_array(values))
}
