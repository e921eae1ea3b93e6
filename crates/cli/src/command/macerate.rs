//! `middlecut macerate`: what solids soak up, and what sugar hides from the glass.

use finishing::entering::{Act, macerated};
use finishing::maceration::{Macerated, MacerationInput, macerate};
use serde::Serialize;

use super::entering::{book, refused, say, stands};
use super::kept::kept;
use crate::args::MacerateArgs;
use crate::error::CliError;
use crate::print::Sheet;

#[derive(Debug, Serialize)]
struct MacerateWire {
    strength_vol: f64,
    litres: f64,
    pure_alcohol_l: f64,
    lost_l: f64,
    glass_reads_vol: Option<f64>,
    obscuration_vol: Option<f64>,
    distil_to_gauge: bool,
    doubts: Vec<String>,
}

/// Reckons a maceration.
pub(crate) fn run(args: &MacerateArgs, json: bool) -> Result<(), CliError> {
    let is = macerate(MacerationInput {
        litres: args.litres.value,
        strength_vol: args.vol.value,
        solids_kg: args.solids.value,
        water_percent: args.water,
        held_l_per_kg: args.held,
        extract_g_per_l: args.extract,
    })?;
    let typed = kept([
        ("macerate.litres", Some(&args.litres)),
        ("macerate.vol", Some(&args.vol)),
        ("macerate.solids", Some(&args.solids)),
    ]);
    let booked = book(&args.book, args.places.data.as_deref(), typed, || {
        let (spirit, stands) = ((args.litres.value, args.vol.value), stands(&args.places, true)?);
        let act = macerated(stands, spirit, is.strength_vol, is.lost_l);
        Ok(Act::Moved(act.map_err(refused)?))
    })?;
    let text = sheet(&is).to_string();
    say(&wire(is), &text, booked.as_ref(), json)
}

fn wire(of: Macerated) -> MacerateWire {
    MacerateWire {
        strength_vol: of.strength_vol,
        litres: of.litres,
        pure_alcohol_l: of.pure_alcohol_l,
        lost_l: of.lost_l,
        glass_reads_vol: of.glass_reads_vol,
        obscuration_vol: of.obscuration_vol,
        distil_to_gauge: of.distil_to_gauge,
        doubts: of.doubts,
    }
}

fn sheet(of: &Macerated) -> Sheet {
    let mut sheet = Sheet::new();
    sheet.row("strength then", of.strength_vol, 2, "% vol, by the water of the solids");
    sheet.row("drains off", of.litres, 2, "L at 20 °C");
    sheet.row("pure alcohol", of.pure_alcohol_l, 3, "L");
    sheet.row("stays in the solids", of.lost_l, 3, "L of pure alcohol");
    match (of.glass_reads_vol, of.obscuration_vol) {
        (Some(reads), Some(hidden)) if hidden > 0.005 => {
            sheet.row("a glass reads", reads, 1, "% vol");
            sheet.row("sugar hides", hidden, 1, "% vol");
        }
        (None, _) => sheet.remark("So much sugar that no alcohol glass floats in it rightly."),
        _ => {}
    }
    if of.distil_to_gauge {
        sheet.remark("Distil a measured sample and gauge that: the glass is no use in this.");
    }
    for doubt in &of.doubts {
        sheet.remark(format!("Mind: {doubt}."));
    }
    sheet
}
