//! `middlecut measure`: residue, feints or a sample of a run that is over, for its balance.

use alcoholometry::typed::Typed;
use sense::{Action, VesselRecord};
use serde::Serialize;
use server::Clock;
use store::rows::ActionRow;
use store::{EnteredUnits, Entry, RunId, RunMode, RunState, Store, StoreError};

use super::data;
use super::kept::kept;
use crate::args::{MeasureArgs, Outside};
use crate::error::CliError;
use crate::print::{self, Sheet};

#[derive(Debug, Serialize)]
struct MeasureWire<'a> {
    run: &'a str,
    what: &'static str,
    entry: i64,
    litres_20c: f64,
    strength_vol_20c: Option<f64>,
    pure_alcohol_l: Option<f64>,
}

/// Records it, and says what it comes to.
pub(crate) fn run(args: &MeasureArgs, json: bool) -> Result<(), CliError> {
    let record = record(args)?;
    let store = Store::open(&data::existing(args.data.as_deref())?)?;
    let run = RunId::new(&args.run);
    let state = store.run(&run)?;
    let end_s = end_s(&state)?;
    must_be_likely(args, &record, state.plan.charge.litres)?;
    let now_ms = Clock::default().now_ms();
    let mut entries = vec![(now_ms, Entry::Action(end_s, Action::Vessel(record)))];
    let typed = kept([
        ("value", args.litres.as_ref().or(args.kg.as_ref())),
        ("apparent_vol", args.reading.as_ref()),
        ("celsius", args.at.as_ref()),
    ]);
    entries.extend(EnteredUnits::after(typed).map(|units| (now_ms, Entry::Units(units))));
    let last = store.append_all(&run, &entries, now_ms)?;
    // What was typed stands behind what was measured.
    let entry = last + 1 - i64::try_from(entries.len()).unwrap_or(1);
    let found = record.gauged(None);
    let pure_alcohol_l = found.strength_vol.map(|vol| found.litres_20c * vol / 100.0);
    if json {
        print::json(&MeasureWire {
            run: run.as_str(),
            what: record.vessel.name(),
            entry,
            litres_20c: found.litres_20c,
            strength_vol_20c: found.strength_vol,
            pure_alcohol_l,
        })?;
        return Ok(());
    }
    let mut sheet = Sheet::new();
    sheet.row(record.vessel.name(), found.litres_20c, 3, "L at 20 °C");
    if let (Some(vol), Some(alcohol_l)) = (found.strength_vol, pure_alcohol_l) {
        sheet.row("strength", vol, 2, "% vol at 20 °C");
        sheet.row("pure alcohol", alcohol_l, 3, "L");
    } else {
        sheet.remark("not gauged: the balance reckons its strength");
    }
    sheet.remark(format!("recorded in {}, {}", run, state.summary.title));
    sheet.remark("its balance is reckoned anew when the page of the run is next opened");
    print::text(&sheet.to_string())?;
    Ok(())
}

/// What was typed, each number held against its bounds.
fn record(args: &MeasureArgs) -> Result<VesselRecord, CliError> {
    let word = match args.what {
        Outside::Residue => "residue",
        Outside::Feints => "feints",
        Outside::Sample => "sample",
    };
    let value = |typed: &Option<Typed>| typed.as_ref().map(|typed| typed.value);
    let (option, amount, unit) = match (value(&args.litres), value(&args.kg)) {
        (Some(litres), _) => ("--litres", litres, "l"),
        (None, kg) => ("--kg", kg.unwrap_or_default(), "kg"),
    };
    let row = |note: String| ActionRow {
        action: word.to_owned(),
        value: Some(amount),
        unit: unit.to_owned(),
        note,
    };
    let checked = |option: &'static str, value: f64, note: String, hint: &str| {
        let refused = |fault: store::rows::RowFault| {
            let (bound, hint) = (fault.bound, hint.to_owned());
            CliError::Value { option, value, bound, hint }
        };
        row(note).action().map_err(refused)
    };
    let hint = "give it as the jug or the scale shows it";
    let (mut action, _) = checked(option, amount, String::new(), hint)?;
    if let Some(at) = value(&args.at) {
        let hint = "give the temperature of the liquid when it was measured";
        action = checked("--at", at, format!("at_{at}"), hint)?.0;
    }
    if let (Some(reading), Some(at)) = (value(&args.reading), value(&args.at)) {
        let hint = "give what the glass reads, or leave it out where it was not gauged";
        action = checked("--reading", reading, format!("{reading} vol_at_{at}"), hint)?.0;
    }
    match action {
        Action::Vessel(record) => Ok(record),
        _ => Err(StoreError::Entry {
            field: "action",
            value: word.to_owned(),
            bound: "must be residue, feints or sample",
        }
        .into()),
    }
}

/// When the run ended, s.
fn end_s(state: &RunState) -> Result<f64, CliError> {
    match &state.summary.ended {
        Some(end) => Ok(end.time_s),
        None if state.summary.mode == RunMode::Imported => Ok(state.last_time_s),
        None => Err(CliError::NotOver { run: state.summary.id.to_string() }),
    }
}

/// Refuses more than was charged, unless it is said to be so.
fn must_be_likely(
    args: &MeasureArgs,
    record: &VesselRecord,
    charge_l: f64,
) -> Result<(), CliError> {
    if args.sure || !server::is_over_charge(record, charge_l) {
        return Ok(());
    }
    let option = if args.litres.is_some() { "--litres" } else { "--kg" };
    Err(CliError::Value {
        option,
        value: args.litres.as_ref().or(args.kg.as_ref()).map_or(0.0, |typed| typed.value),
        bound: format!("is more than the charge, {charge_l} L"),
        hint: "check the decimal point; add --sure if it is so".to_owned(),
    })
}
