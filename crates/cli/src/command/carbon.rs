//! `middlecut carbon`: how much carbon, and what a bed keeps.

use account::Name;
use finishing::carbon::{BedInput, WORDS};
use finishing::entering::{Act, carbon};
use finishing::treatment::{Treated, stirred_in, through_bed};
use serde::Serialize;

use super::entering::{book, refused, say, stands};
use super::kept::kept;
use crate::args::CarbonArgs;
use crate::error::CliError;
use crate::print::Sheet;

#[derive(Debug, Serialize)]
struct CarbonWire {
    carbon_g: f64,
    wanted_g: f64,
    contact_min: f64,
    held_litres: f64,
    held_litres_sd: Option<f64>,
    hours: f64,
    held_alcohol_l: Option<f64>,
    lost_l: f64,
    lost_l_sd: f64,
    out_litres_20c: f64,
    out_strength_vol: f64,
    doubts: Vec<String>,
}

/// Reckons the carbon.
pub(crate) fn run(args: &CarbonArgs, json: bool) -> Result<(), CliError> {
    let (litres, strength_vol) = (args.litres.value, args.vol.value);
    let asked = args.diameter.zip(args.height).zip(args.flow);
    let is = match asked {
        Some(((diameter_mm, height_m), litres_per_hour)) => through_bed(BedInput {
            litres,
            strength_vol,
            diameter_mm,
            height_m,
            litres_per_hour,
            rinse_litres: args.rinse,
        })?,
        None => stirred_in(litres, strength_vol)?,
    };
    let typed = kept([("carbon.litres", Some(&args.litres)), ("carbon.vol", Some(&args.vol))]);
    let booked = book(&args.book, args.places.data.as_deref(), typed, || {
        let bed = args.bed.as_deref().map(Name::new).transpose().map_err(refused)?;
        let (spirit, stands) = ((litres, strength_vol), stands(&args.places, true)?);
        let act = carbon(stands, spirit, is.out_strength_vol, is.lost_l, bed);
        Ok(Act::Moved(act.map_err(refused)?))
    })?;
    let text = sheet(&is).to_string();
    say(&wire(is), &text, booked.as_ref(), json)
}

fn wire(of: Treated) -> CarbonWire {
    CarbonWire {
        carbon_g: of.carbon_g,
        wanted_g: of.wanted_g,
        contact_min: of.contact_min,
        held_litres: of.held_litres,
        held_litres_sd: of.held_litres_sd,
        hours: of.hours,
        held_alcohol_l: of.held_alcohol_l,
        lost_l: of.lost_l,
        lost_l_sd: of.lost_l_sd,
        out_litres_20c: of.out_litres_20c,
        out_strength_vol: of.out_strength_vol,
        doubts: of.doubts,
    }
}

fn sheet(of: &Treated) -> Sheet {
    let mut sheet = Sheet::new();
    sheet.row("carbon", of.carbon_g, 0, "g");
    sheet.row("this spirit asks for", of.wanted_g, 0, "g");
    sheet.row("contact", of.contact_min, 0, "min");
    sheet.row("carbon holds", of.held_litres, 2, "L");
    sheet.row("takes", of.hours, 1, "h");
    let sd = format!("L of pure alcohol, ± {:.3}", of.lost_l_sd);
    sheet.row("stays in it", of.lost_l, 3, &sd);
    sheet.row("comes out", of.out_litres_20c, 2, "L at 20 °C");
    sheet.row("strength then", of.out_strength_vol, 2, "% vol; gauge it");
    for doubt in &of.doubts {
        sheet.remark(format!("But {doubt}."));
    }
    sheet.remark(WORDS);
    sheet
}
