//! `middlecut gauge`: the true strength behind what a glass hydrometer reads.

use alcoholometry::gauge::{GaugeInput, Gauged, gauge};
use serde::Serialize;

use super::spirit::Spirit;
use crate::args::{GaugeArgs, Scale};
use crate::error::CliError;
use crate::print::{self, Sheet, Warning, number};

/// Spirit stronger than this must not be drunk or tasted undiluted, % vol.
const CONCENTRATED_VOL: f64 = 60.0;

#[derive(Debug, Serialize)]
struct GaugeWire {
    strength_vol_20c: f64,
    strength_sd: f64,
    mass_percent: f64,
    mole_fraction: f64,
    proof_60f: f64,
    density_kg_m3: f64,
    density_20c_kg_m3: f64,
    amount: Option<Spirit>,
    warnings: Vec<Warning>,
}

/// What a person should mind about the spirit.
fn warnings(gauged: &Gauged) -> Vec<Warning> {
    let concentrated = Warning {
        code: "concentrated",
        text: "concentrated: taste nothing of it undiluted, and no flame near it".to_owned(),
    };
    Vec::from_iter((gauged.strength_vol_20c > CONCENTRATED_VOL).then_some(concentrated))
}

/// Corrects the reading.
pub(crate) fn run(args: &GaugeArgs, json: bool) -> Result<(), CliError> {
    let scale = scale(args.scale);
    let gauged = gauge(GaugeInput {
        reading: args.reading,
        celsius: args.at,
        scale,
        reading_sd: args.reading_sd.unwrap_or_else(|| scale.reading_sd_default()),
        celsius_sd: args.at_sd,
    })?;
    let spirit = Spirit::new(args.litres, args.kg, gauged.strength_vol_20c, args.at)?;
    if json {
        print::json(&wire(&gauged, spirit))?;
    } else {
        print::text(&sheet(args, &gauged, spirit).to_string())?;
    }
    Ok(())
}

pub(super) const fn scale(scale: Scale) -> alcoholometry::gauge::Scale {
    match scale {
        Scale::Vol20 => alcoholometry::gauge::Scale::Vol20,
        Scale::Vol60 => alcoholometry::gauge::Scale::Vol60,
        Scale::Proof60 => alcoholometry::gauge::Scale::Proof60,
        Scale::Density => alcoholometry::gauge::Scale::Density,
    }
}

fn wire(gauged: &Gauged, amount: Option<Spirit>) -> GaugeWire {
    GaugeWire {
        strength_vol_20c: gauged.strength_vol_20c,
        strength_sd: gauged.strength_sd,
        mass_percent: gauged.mass_percent,
        mole_fraction: gauged.mole_fraction,
        proof_60f: gauged.proof_60f,
        density_kg_m3: gauged.density_kg_m3,
        density_20c_kg_m3: gauged.density_20c_kg_m3,
        amount,
        warnings: warnings(gauged),
    }
}

fn sheet(args: &GaugeArgs, gauged: &Gauged, spirit: Option<Spirit>) -> Sheet {
    let unit = match args.scale {
        Scale::Vol20 | Scale::Vol60 => "% vol",
        Scale::Proof60 => "proof",
        Scale::Density => "kg/m³",
    };
    let mut sheet = Sheet::new();
    sheet.row("the glass reads", args.reading, 2, &format!("{unit} at {} °C", args.at));
    let deviation = number(gauged.strength_sd, 2);
    sheet.row(
        "it is",
        gauged.strength_vol_20c,
        2,
        &format!("% vol at 20 °C, ± {deviation} (1 sd)"),
    );
    sheet.row("by mass", gauged.mass_percent, 2, "%");
    sheet.row("US proof", gauged.proof_60f, 2, "at 60 °F");
    sheet.row("density", gauged.density_20c_kg_m3, 2, "kg/m³ at 20 °C");
    if let Some(spirit) = spirit {
        spirit.rows(&mut sheet);
    }
    for warning in warnings(gauged) {
        sheet.remark(warning.text);
    }
    sheet
}
