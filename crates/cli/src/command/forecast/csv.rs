//! The rows of a forecast as CSV: one a minute, a column for each congener present.

use std::fmt::Write;

use still::outcome::{Forecast, Row};

const COLUMNS: &str = "time_s,head_c,pot_c,top_stage_vol,distillate_vol,collected_l,\
                       pure_alcohol_l,v0_mol_s,vn_mol_s,pot_x_ethanol";

/// The whole file.
pub(super) fn write(forecast: &Forecast) -> String {
    let mut text = COLUMNS.to_owned();
    for component in forecast.components.iter().filter(|component| component.is_congener()) {
        text.push_str(",mg_");
        text.push_str(component.name());
    }
    text.push('\n');
    for row in &forecast.rows {
        push_row(&mut text, row);
    }
    text
}

fn push_row(text: &mut String, row: &Row) {
    let cell = |value: Option<f64>| value.map(|number| number.to_string()).unwrap_or_default();
    let cells = [
        Some(row.time_s),
        Some(row.head_c),
        Some(row.pot_c),
        row.top_stage_vol,
        row.distillate_vol,
        Some(row.collected_l),
        Some(row.pure_alcohol_l),
        Some(row.v0_mol_s),
        Some(row.vn_mol_s),
        Some(row.pot_x_ethanol),
    ];
    text.push_str(&cells.map(cell).join(","));
    for mg in &row.congeners_mg {
        write!(text, ",{mg}").expect("writing to a String cannot fail");
    }
    text.push('\n');
}
