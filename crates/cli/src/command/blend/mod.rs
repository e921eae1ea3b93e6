//! `middlecut blend`: what several parts come to when they are put together.

mod jars;

use alcoholometry::blend::{Blended, Part, blend};
use alcoholometry::weighing;
use serde::Serialize;

use crate::args::{Amount, BlendArgs};
use crate::error::CliError;
use crate::print::{self, Sheet, Warning, number};
use jars::Jars;

#[derive(Debug, Serialize)]
struct BlendWire {
    litres_20c: f64,
    strength_vol_20c: f64,
    pure_alcohol_l: f64,
    mass_kg: f64,
    mass_percent: f64,
    contraction_percent: f64,
    warming_k: Option<f64>,
    jars: Option<Jars>,
    warnings: Vec<Warning>,
}

/// Blends.
pub(crate) fn run(args: &BlendArgs, json: bool) -> Result<(), CliError> {
    let jars = jars::of(args)?;
    let mut parts: Vec<Part> = jars.iter().flat_map(Jars::parts).collect();
    for part in &args.parts {
        let litres = match part.amount {
            Amount::Litres(litres) => litres,
            // A part is taken at 20 °C; a balance shows the same at any temperature near it.
            Amount::Kilograms(kg) => weighing::weighed_litres(kg, part.strength_vol, 20.0)?,
        };
        parts.push(Part::at_20c(litres, part.strength_vol));
    }
    let blended = blend(&parts)?;
    if json {
        print::json(&wire(&blended, jars))?;
    } else {
        print::text(&format!("{}{}", listed(jars.as_ref()), sheet(&blended, jars.as_ref())))?;
    }
    Ok(())
}

fn wire(blended: &Blended, jars: Option<Jars>) -> BlendWire {
    BlendWire {
        litres_20c: blended.litres_20c,
        strength_vol_20c: blended.strength_vol_20c,
        pure_alcohol_l: blended.pure_alcohol_l,
        mass_kg: blended.mass_kg,
        mass_percent: blended.mass_percent,
        contraction_percent: blended.contraction_percent,
        warming_k: blended.warming_k,
        warnings: jars.as_ref().map(Jars::warnings).unwrap_or_default(),
        jars,
    }
}

/// The jars of a run, one a line.
fn listed(jars: Option<&Jars>) -> String {
    let Some(jars) = jars else { return String::new() };
    let head = ["jar", "mL at 20 °C", "% vol at 20 °C"].map(str::to_owned).to_vec();
    let rows = jars.taken.iter().map(|jar| {
        vec![
            jar.number.to_string(),
            number(1000.0 * jar.litres_20c, 0),
            number(jar.strength_vol_20c, 1),
        ]
    });
    let rows: Vec<Vec<String>> = std::iter::once(head).chain(rows).collect();
    format!("{}\n\n{}\n", jars.run, print::columns(&rows))
}

fn sheet(blended: &Blended, jars: Option<&Jars>) -> Sheet {
    let mut sheet = Sheet::new();
    sheet.row("makes", blended.litres_20c, 3, "L at 20 °C");
    sheet.row("strength", blended.strength_vol_20c, 2, "% vol at 20 °C");
    sheet.row("pure alcohol", blended.pure_alcohol_l, 3, "L");
    sheet.row("mass", blended.mass_kg, 3, "kg");
    sheet.row("contraction", blended.contraction_percent, 2, "% of the parts");
    if let Some(warming_k) = blended.warming_k {
        sheet.row("warms by about", warming_k, 1, "K");
    }
    for warning in jars.map(Jars::warnings).unwrap_or_default() {
        sheet.remark(warning.text);
    }
    sheet
}
