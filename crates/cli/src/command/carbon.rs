//! `middlecut carbon`: how much carbon, and what a bed keeps.

use finishing::carbon::{Bed, BedInput, WORDS, bed, stirred};
use serde::Serialize;

use crate::args::CarbonArgs;
use crate::error::CliError;
use crate::print::{self, Sheet};

#[derive(Debug, Serialize)]
struct CarbonWire {
    carbon_g: f64,
    wanted_g: f64,
    contact_min: f64,
    held_litres: Option<f64>,
    held_litres_sd: Option<f64>,
    hours: Option<f64>,
    held_alcohol_l: Option<f64>,
    lost_l: f64,
    lost_l_sd: f64,
    out_litres_20c: f64,
    out_strength_vol: f64,
    doubts: Vec<String>,
}

/// Reckons the carbon.
pub(crate) fn run(args: &CarbonArgs, json: bool) -> Result<(), CliError> {
    let asked = args.diameter.zip(args.height).zip(args.flow);
    let wire = match asked {
        Some(((diameter_mm, height_m), litres_per_hour)) => of_bed(bed(BedInput {
            litres: args.litres,
            strength_vol: args.vol,
            diameter_mm,
            height_m,
            litres_per_hour,
            rinse_litres: args.rinse,
        })?),
        None => in_vessel(args)?,
    };
    if json {
        print::json(&wire)?;
    } else {
        print::text(&sheet(&wire).to_string())?;
    }
    Ok(())
}

fn of_bed(of: Bed) -> CarbonWire {
    CarbonWire {
        carbon_g: of.carbon_g,
        wanted_g: of.wanted_g,
        contact_min: of.contact_min,
        held_litres: Some(of.held_litres),
        held_litres_sd: Some(of.held_litres_sd),
        hours: Some(of.hours),
        held_alcohol_l: Some(of.held_alcohol_l),
        lost_l: of.lost_l,
        lost_l_sd: of.lost_l_sd,
        out_litres_20c: of.out_litres_20c,
        out_strength_vol: of.out_strength_vol,
        doubts: of.doubts,
    }
}

/// Carbon stirred into the vessel: what its grains keep when they are strained off.
fn in_vessel(args: &CarbonArgs) -> Result<CarbonWire, CliError> {
    let is = stirred(args.litres, args.vol)?;
    Ok(CarbonWire {
        carbon_g: is.carbon_g,
        wanted_g: is.carbon_g,
        contact_min: 60.0 * is.hours,
        held_litres: Some(is.held_litres),
        held_litres_sd: None,
        hours: Some(is.hours),
        held_alcohol_l: None,
        lost_l: is.lost_l,
        lost_l_sd: is.lost_l_sd,
        out_litres_20c: args.litres - is.held_litres,
        out_strength_vol: args.vol,
        doubts: Vec::new(),
    })
}

fn sheet(of: &CarbonWire) -> Sheet {
    let mut sheet = Sheet::new();
    sheet.row("carbon", of.carbon_g, 0, "g");
    sheet.row("this spirit asks for", of.wanted_g, 0, "g");
    sheet.row("contact", of.contact_min, 0, "min");
    if let Some(held) = of.held_litres {
        sheet.row("carbon holds", held, 2, "L");
    }
    if let Some(hours) = of.hours {
        sheet.row("takes", hours, 1, "h");
    }
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
