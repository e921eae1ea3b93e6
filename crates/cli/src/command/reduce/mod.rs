//! `middlecut reduce`: the water that brings a spirit down to a strength, at once or in steps.

mod steps;

use alcoholometry::reduce::{ReduceInput, Reduced, reduce};
use serde::Serialize;

use crate::args::ReduceArgs;
use crate::command::spirit::Spirit;
use crate::error::CliError;
use crate::print::{self, Sheet, number};

#[derive(Debug, Serialize)]
struct ReduceWire {
    litres: f64,
    water_kg: f64,
    water_l_20c: f64,
    water_l: f64,
    product_l_20c: f64,
    pure_alcohol_l: f64,
    contraction_percent: f64,
    warming_k: Option<f64>,
    naive_water_l: f64,
}

/// Reckons the water.
pub(crate) fn run(args: &ReduceArgs, json: bool) -> Result<(), CliError> {
    let (from, to, celsius) = (args.from.value, args.to.value, args.at.value);
    let amount = Spirit::of(args.litres.as_ref(), args.kg.as_ref(), from, celsius)?;
    let litres = amount.map_or(0.0, |spirit| spirit.litres);
    if args.steps.is_some() || args.book.enter {
        return steps::run(args, litres, json);
    }
    let reduced = reduce(ReduceInput::exact(litres, from, to, celsius))?;
    if json {
        print::json(&wire(litres, &reduced))?;
    } else {
        print::text(&sheet(args, litres, &reduced).to_string())?;
    }
    Ok(())
}

const fn wire(litres: f64, reduced: &Reduced) -> ReduceWire {
    ReduceWire {
        litres,
        water_kg: reduced.water_kg,
        water_l_20c: reduced.water_l_20c,
        water_l: reduced.water_l,
        product_l_20c: reduced.product_l_20c,
        pure_alcohol_l: reduced.pure_alcohol_l,
        contraction_percent: reduced.contraction_percent,
        warming_k: reduced.warming_k,
        naive_water_l: reduced.naive_water_l,
    }
}

fn sheet(args: &ReduceArgs, litres: f64, reduced: &Reduced) -> Sheet {
    let mut sheet = Sheet::new();
    if let Some(kg) = &args.kg {
        let of = format!("L at {} °C, from {} kg on the balance", args.at.value, kg.value);
        sheet.row("the spirit is", litres, 3, &of);
    }
    sheet.row("water to add", reduced.water_kg, 3, "kg (weigh it)");
    sheet.row("the same", reduced.water_l, 3, &format!("L at {} °C", args.at.value));
    sheet.row(
        "makes",
        reduced.product_l_20c,
        3,
        &format!("L at 20 °C of {} % vol", number(args.to.value, 2)),
    );
    sheet.row("pure alcohol", reduced.pure_alcohol_l, 3, "L");
    sheet.row("contraction", reduced.contraction_percent, 2, "% of the parts");
    if let Some(warming_k) = reduced.warming_k {
        sheet.row("warms by about", warming_k, 1, "K, so let it cool before gauging");
    }
    sheet.row("volumes do not add", reduced.naive_water_l, 3, "L would be the naive answer");
    sheet
}
