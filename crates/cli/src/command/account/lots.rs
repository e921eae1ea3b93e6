//! `middlecut lots`: what stands where, and a lot followed both ways.

use account::{Ledger, Name, PureAlcohol, Recall};
use serde::Serialize;
use store::{Store, StoreError};

use crate::args::LotsArgs;
use crate::command::data;
use crate::error::CliError;
use crate::print::{self, columns};

#[derive(Debug, Serialize)]
struct LotWire {
    lot: String,
    place: String,
    pure_alcohol_l: f64,
}

#[derive(Debug, Serialize)]
struct TraceWire {
    place: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    lot: Option<String>,
    pure_alcohol_l: f64,
    now_l: f64,
}

#[derive(Debug, Serialize)]
struct RecallWire {
    lot: String,
    made_of: Vec<TraceWire>,
    made_by: Vec<u64>,
    went_to: Vec<TraceWire>,
    moved_by: Vec<u64>,
}

/// Lists them, or follows one.
pub(crate) fn run(args: &LotsArgs, json: bool) -> Result<(), CliError> {
    let store = Store::open_read_only(&data::folder(args.data.as_deref())?)?;
    let Some(lot) = &args.lot else {
        let lots = store.account(|ledger| lots(ledger, args.all))?;
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
    if json {
        let lot = lot.to_string();
        let (made_by, moved_by) = (made_of.entries.clone(), went_to.entries.clone());
        let (made_of, went_to) = (traces(&made_of), traces(&went_to));
        print::json(&RecallWire { lot, made_of, made_by, went_to, moved_by })?;
    } else {
        let text = format!(
            "made of\n{}\nwent to\n{}",
            recall(&made_of, "nothing: it came from nowhere"),
            recall(&went_to, "nothing: all of it is there")
        );
        print::text(&text)?;
    }
    Ok(())
}

fn lots(ledger: &Ledger, all: bool) -> Vec<LotWire> {
    let mut lots = Vec::new();
    for (lot, holdings) in ledger.lots() {
        for holding in holdings.filter(|holding| all || holding.now() > PureAlcohol::ZERO) {
            let (lot, place) = (lot.to_string(), holding.place.to_string());
            lots.push(LotWire { lot, place, pure_alcohol_l: holding.now().litres() });
        }
    }
    lots
}

fn list(lots: &[LotWire], json: bool) -> Result<(), CliError> {
    if json {
        print::json(&lots)?;
        return Ok(());
    }
    let head = ["lot", "place", "L pure alcohol"].map(str::to_owned).to_vec();
    let rows = lots
        .iter()
        .map(|lot| vec![lot.lot.clone(), lot.place.clone(), print::number(lot.pure_alcohol_l, 6)]);
    print::text(&columns(&std::iter::once(head).chain(rows).collect::<Vec<_>>()))?;
    Ok(())
}

fn traces(recall: &Recall) -> Vec<TraceWire> {
    let one = |trace: &account::Trace| TraceWire {
        place: trace.place.to_string(),
        lot: trace.lot.as_ref().map(ToString::to_string),
        pure_alcohol_l: trace.alcohol.litres(),
        now_l: trace.now.litres(),
    };
    recall.traces.iter().map(one).collect()
}

fn recall(recall: &Recall, none: &str) -> String {
    if recall.traces.is_empty() {
        return format!("    {none}\n");
    }
    let rows: Vec<Vec<String>> = traces(recall)
        .into_iter()
        .map(|trace| {
            let now = if trace.now_l > 0.0 {
                format!("{} there now", print::number(trace.now_l, 6))
            } else {
                String::new()
            };
            let lot = trace.lot.unwrap_or_default();
            vec![format!("    {}", trace.place), lot, print::number(trace.pure_alcohol_l, 6), now]
        })
        .collect();
    columns(&rows)
}
