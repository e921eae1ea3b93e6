//! `middlecut liquid`: everything about an ethanol-water liquid.

use alcoholometry::liquid::{Basis, Liquid, LiquidInput, describe};
use quantities::{MoleFraction, Pressure};
use serde::Serialize;
use thermo::ethanol_water::boiling;

use super::spirit::Spirit;
use crate::args::LiquidArgs;
use crate::error::CliError;
use crate::number::within;
use crate::print::{self, Sheet};

#[derive(Debug, Serialize)]
struct LiquidWire {
    strength_vol_20c: f64,
    mass_percent: f64,
    mole_fraction: f64,
    proof_60f: f64,
    density_kg_m3: f64,
    density_20c_kg_m3: f64,
    litres_at_t_per_litre_20c: f64,
    boiling_c: f64,
    vapour_mole_fraction: f64,
    vapour_strength_vol: f64,
    amount: Option<Spirit>,
}

/// Describes the liquid.
pub(crate) fn run(args: &LiquidArgs, json: bool) -> Result<(), CliError> {
    let hint = "station pressure, as a barometer at the still shows it, not reduced to sea level";
    let pressure_hpa = within("--pressure", args.pressure, 300.0, 1200.0, "hPa", hint)?;
    let liquid = describe(LiquidInput::exact(basis(args), args.at))?;
    let mut found = boil(&liquid, pressure_hpa)?;
    found.amount = Spirit::new(args.litres, args.kg, liquid.strength_vol_20c, args.at)?;
    if json {
        print::json(&found)?;
    } else {
        print::text(&sheet(args, &found).to_string())?;
    }
    Ok(())
}

fn basis(args: &LiquidArgs) -> Basis {
    let given = args.vol.map(Basis::Vol20Percent);
    given
        .or_else(|| args.mass.map(Basis::MassPercent))
        .or_else(|| args.mole.map(Basis::MoleFraction))
        .or_else(|| args.proof.map(Basis::Proof60F))
        .or_else(|| args.density.map(Basis::DensityKgM3))
        .expect("the argument group requires one of the five")
}

fn boil(liquid: &Liquid, pressure_hpa: f64) -> Result<LiquidWire, CliError> {
    let mole_fraction = MoleFraction::new(liquid.mole_fraction.clamp(0.0, 1.0))?;
    let boiling = boiling(mole_fraction, Pressure::from_hectopascals(pressure_hpa)?)?;
    let vapour = boiling.vapour.get();
    let as_liquid = describe(LiquidInput::exact(Basis::MoleFraction(vapour), 20.0))?;
    Ok(LiquidWire {
        strength_vol_20c: liquid.strength_vol_20c,
        mass_percent: liquid.mass_percent,
        mole_fraction: liquid.mole_fraction,
        proof_60f: liquid.proof_60f,
        density_kg_m3: liquid.density_kg_m3,
        density_20c_kg_m3: liquid.density_20c_kg_m3,
        litres_at_t_per_litre_20c: liquid.litres_at_t_per_litre_20c,
        boiling_c: boiling.temperature.celsius(),
        vapour_mole_fraction: vapour,
        vapour_strength_vol: as_liquid.strength_vol_20c,
        amount: None,
    })
}

fn sheet(args: &LiquidArgs, found: &LiquidWire) -> Sheet {
    let mut sheet = Sheet::new();
    sheet.row("strength", found.strength_vol_20c, 2, "% vol at 20 °C");
    sheet.row("by mass", found.mass_percent, 2, "%");
    sheet.row("mole fraction", found.mole_fraction, 4, "mol/mol");
    sheet.row("US proof", found.proof_60f, 2, "at 60 °F");
    sheet.row("density", found.density_kg_m3, 2, &format!("kg/m³ at {} °C", args.at));
    if args.at.to_bits() != 20.0_f64.to_bits() {
        sheet.row("density", found.density_20c_kg_m3, 2, "kg/m³ at 20 °C");
        let per = format!("L at {} °C for each at 20 °C", args.at);
        sheet.row("volume", found.litres_at_t_per_litre_20c, 5, &per);
    }
    sheet.row("boils at", found.boiling_c, 2, &format!("°C at {} hPa", args.pressure));
    sheet.row("its vapour", found.vapour_strength_vol, 2, "% vol as liquid at 20 °C");
    if let Some(amount) = found.amount {
        amount.rows(&mut sheet);
    }
    sheet
}
