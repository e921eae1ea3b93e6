//! `middlecut lots`: what stands where, and a lot followed both ways.

use account::Name;
use server::{LotRecallWire, StandingLotWire, TraceWire};
use store::{Store, StoreError};

use super::profile;
use crate::args::LotsArgs;
use crate::command::data;
use crate::error::CliError;
use crate::print::{self, columns};

/// Most lots of one list.
const LOTS_MAX: usize = 1_000_000;

/// Lists them, or follows one.
pub(crate) fn run(args: &LotsArgs, json: bool) -> Result<(), CliError> {
    let profile = profile(args.profile)?;
    let store = Store::open_read_only(&data::folder(args.data.as_deref())?)?;
    let Some(lot) = &args.lot else {
        let lots = store.standing_lots(args.all, LOTS_MAX)?;
        let lots: Vec<_> = lots.iter().map(|lot| StandingLotWire::new(lot, &profile)).collect();
        return list(&lots, json);
    };
    let lot = Name::new(lot).map_err(StoreError::from)?;
    let found = store.account(|ledger| {
        let known = ledger.of_lot(&lot).next().is_some();
        known.then(|| (ledger.made_of(&lot), ledger.went_to(&lot)))
    })?;
    let (made_of, went_to) = found.ok_or_else(|| CliError::Typed {
        option: "LOT",
        value: lot.to_string(),
        bound: "must be a lot of the book",
        hint: "middlecut lots --all lists them".to_owned(),
    })?;
    let told = LotRecallWire::new(lot.to_string(), &made_of, &went_to, &profile);
    if json {
        print::json(&told)?;
    } else {
        let text = format!(
            "made of\n{}\nwent to\n{}",
            recall(&told.made_of, "nothing: it came from nowhere"),
            recall(&told.went_to, "nothing: all of it is there")
        );
        print::text(&text)?;
    }
    Ok(())
}

fn list(lots: &[StandingLotWire], json: bool) -> Result<(), CliError> {
    if json {
        print::json(&lots)?;
        return Ok(());
    }
    let head = ["lot", "place", "L pure alcohol", "L at 20 °C", "% vol", "bottles", "gauged with"];
    let head = head.map(str::to_owned).to_vec();
    let known = |value: Option<f64>, decimals| {
        value.map_or_else(String::new, |value| print::number(value, decimals))
    };
    let rows = lots.iter().map(|lot| {
        let bottles = lot.bottles.map_or_else(String::new, |bottles| bottles.to_string());
        let alcohol = print::number(lot.pure_alcohol_l, 6);
        let (litres, vol) = (known(lot.litres_20c, 3), known(lot.strength_vol, 2));
        let with: Vec<&str> = lot.gauged_with.iter().map(|one| one.words.as_str()).collect();
        vec![lot.lot.clone(), lot.place.clone(), alcohol, litres, vol, bottles, with.join(", ")]
    });
    print::text(&columns(&std::iter::once(head).chain(rows).collect::<Vec<_>>()))?;
    Ok(())
}

fn recall(traces: &[TraceWire], none: &str) -> String {
    if traces.is_empty() {
        return format!("    {none}\n");
    }
    let rows: Vec<Vec<String>> = traces
        .iter()
        .map(|trace| {
            let now = if trace.now_l > 0.0 {
                format!("{} there now", print::number(trace.now_l, 6))
            } else {
                String::new()
            };
            let lot = trace.lot.clone().unwrap_or_default();
            vec![format!("    {}", trace.place), lot, print::number(trace.pure_alcohol_l, 6), now]
        })
        .collect();
    columns(&rows)
}
