//! `middlecut blend`: what several parts come to when they are put together.

use alcoholometry::blend::{Blended, Part, blend};
use serde::Serialize;

use crate::args::BlendArgs;
use crate::error::CliError;
use crate::print::{self, Sheet};

#[derive(Debug, Serialize)]
struct BlendWire {
    litres_20c: f64,
    strength_vol_20c: f64,
    pure_alcohol_l: f64,
    mass_kg: f64,
    mass_percent: f64,
    contraction_percent: f64,
    warming_k: Option<f64>,
}

/// Blends.
pub(crate) fn run(args: &BlendArgs, json: bool) -> Result<(), CliError> {
    let parts: Vec<Part> =
        args.parts.iter().map(|part| Part::at_20c(part.litres, part.strength_vol)).collect();
    let blended = blend(&parts)?;
    if json {
        print::json(&wire(&blended))?;
    } else {
        print::text(&sheet(&blended).to_string())?;
    }
    Ok(())
}

const fn wire(blended: &Blended) -> BlendWire {
    BlendWire {
        litres_20c: blended.litres_20c,
        strength_vol_20c: blended.strength_vol_20c,
        pure_alcohol_l: blended.pure_alcohol_l,
        mass_kg: blended.mass_kg,
        mass_percent: blended.mass_percent,
        contraction_percent: blended.contraction_percent,
        warming_k: blended.warming_k,
    }
}

fn sheet(blended: &Blended) -> Sheet {
    let mut sheet = Sheet::new();
    sheet.row("makes", blended.litres_20c, 3, "L at 20 °C");
    sheet.row("strength", blended.strength_vol_20c, 2, "% vol at 20 °C");
    sheet.row("pure alcohol", blended.pure_alcohol_l, 3, "L");
    sheet.row("mass", blended.mass_kg, 3, "kg");
    sheet.row("contraction", blended.contraction_percent, 2, "% of the parts");
    if let Some(warming_k) = blended.warming_k {
        sheet.row("warms by about", warming_k, 1, "K");
    }
    sheet
}
