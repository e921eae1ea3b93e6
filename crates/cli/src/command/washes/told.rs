//! A wash as `middlecut washes` tells it.

use ferment::{Condition, Forecast, Log};
use serde::Serialize;
use store::rows::{WashAct, WashReading};
use store::time::format_start;
use store::{Store, Struck, WashCharge, WashEntry, WashLine, WashState};

use crate::command::ferment as forecast;
use crate::error::CliError;
use crate::print::{self, number};

#[derive(Debug, Serialize)]
struct SummaryWire {
    id: String,
    title: String,
    pitched: String,
    litres: f64,
    status: &'static str,
}

#[derive(Debug, Serialize)]
struct LineWire<'a> {
    entry: i64,
    at: String,
    time_h: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    read: Option<&'a WashReading>,
    #[serde(skip_serializing_if = "Option::is_none")]
    done: Option<&'a WashAct>,
    what: String,
    by: Option<&'a str>,
    struck: Option<String>,
}

#[derive(Debug, Serialize)]
struct ConditionWire {
    code: &'static str,
    holds: bool,
    text: String,
    found: String,
}

/// All of it.
#[derive(Debug, Serialize)]
pub(super) struct WashWire<'a> {
    id: &'a str,
    title: &'a str,
    pitched: String,
    status: &'static str,
    charge: Option<&'a WashCharge>,
    lines: Vec<LineWire<'a>>,
    conditions: Vec<ConditionWire>,
    forecast: forecast::Wire<'a>,
}

const fn status(state: &WashState) -> &'static str {
    match &state.ended {
        None => "open",
        Some((_, end)) if end.charge.is_some() => "charged",
        Some(_) => "poured",
    }
}

fn shown(at_ms: i64, state: &WashState) -> String {
    format_start(at_ms.div_euclid(1000) * 1000, state.zone_minutes).unwrap_or_default()
}

/// The washes, the newest first.
pub(super) fn list(store: &Store, json: bool) -> Result<(), CliError> {
    let one = |state: &WashState| SummaryWire {
        id: state.id.to_string(),
        title: state.recipe.title.clone(),
        pitched: shown(state.pitched_ms, state),
        litres: state.recipe.litres,
        status: status(state),
    };
    let all: Vec<SummaryWire> = store.washes()?.iter().rev().map(one).collect();
    if json {
        print::json(&all)?;
    } else {
        let line = |one: SummaryWire| {
            let litres = number(one.litres, 1);
            let SummaryWire { id, title, pitched, status, .. } = one;
            format!("{id}  {pitched}  {litres} L  {status}  {title}\n")
        };
        print::text(&all.into_iter().map(line).collect::<String>())?;
    }
    Ok(())
}

fn what(entry: &WashEntry) -> String {
    let cell = |name: &str, value: Option<f64>, unit: &str| {
        value.map(|value| format!("{name} {value}{unit}"))
    };
    match entry {
        WashEntry::Opened(_) => "opened".to_owned(),
        WashEntry::Recipe(one) => format!("recipe changed: {}", one.reason),
        WashEntry::Read(one) => {
            let row = &one.row;
            let cells = [
                cell("gravity", row.gravity, ""),
                cell("at", row.temperature_c, " °C"),
                cell("weighs", row.weight_kg, " kg"),
                cell("pH", row.ph, ""),
                Some(row.note.clone()).filter(|note| !note.is_empty()),
            ];
            cells.into_iter().flatten().collect::<Vec<_>>().join(", ")
        }
        WashEntry::Done(one) => {
            let amount = one.row.value.map(|value| format!(" {value} {}", one.row.unit()));
            let note = Some(&one.row.note).filter(|note| !note.is_empty());
            let note = note.map(|note| format!(", {note}"));
            [one.row.action.clone(), amount.unwrap_or_default(), note.unwrap_or_default()].concat()
        }
        WashEntry::Floated(one) => format!("floating sensor, {} rows", one.rows.len()),
        WashEntry::Withdrawn(one) => format!("entry {} does not hold: {}", one.entry, one.reason),
        WashEntry::Ended(end) => match &end.charge {
            None => format!("poured away: {}", end.reason),
            Some(charge) => format!(
                "charged as {}: {} L (± {}) of {} % vol (± {})",
                charge.lot,
                number(charge.litres, 2),
                number(charge.litres_sd, 2),
                number(charge.strength_vol, 2),
                number(charge.strength_sd, 2)
            ),
        },
    }
}

fn struck(line: &WashLine) -> Option<String> {
    line.struck.as_ref().map(|why| match why {
        Struck::Corrected(by) => format!("corrected by entry {by}"),
        Struck::Withdrawn(why, _) => format!("taken back: {why}"),
    })
}

fn conditions(state: &WashState, log: &Log, forecast: &Forecast) -> Vec<Condition> {
    ferment::finished(&state.recipe, log, forecast, state.tasted())
}

impl<'a> WashWire<'a> {
    /// Of a wash, its log and its forecast.
    pub(super) fn new(state: &'a WashState, log: &Log, forecast: &'a Forecast) -> Self {
        let line = |line: &'a WashLine| LineWire {
            entry: line.number,
            at: shown(line.at_ms, state),
            time_h: state.hours(line.at_ms),
            read: match &line.entry {
                WashEntry::Read(one) => Some(&one.row),
                _ => None,
            },
            done: match &line.entry {
                WashEntry::Done(one) => Some(&one.row),
                _ => None,
            },
            what: what(&line.entry),
            by: line.entry.by().by.as_deref(),
            struck: struck(line),
        };
        let condition = |one: Condition| {
            let Condition { code, holds, text, found } = one;
            ConditionWire { code, holds, text, found }
        };
        Self {
            id: state.id.as_str(),
            title: &state.recipe.title,
            pitched: shown(state.pitched_ms, state),
            status: status(state),
            charge: state.ended.as_ref().and_then(|(_, end)| end.charge.as_ref()),
            lines: state.lines.iter().map(line).collect(),
            conditions: conditions(state, log, forecast).into_iter().map(condition).collect(),
            forecast: forecast::Wire::new(&state.recipe, log, forecast),
        }
    }
}

/// The same in words.
pub(super) fn text(state: &WashState, log: &Log, forecast: &Forecast) -> String {
    let mut text = format!("{}  {}  {}\n", state.id, state.recipe.title, status(state));
    for line in &state.lines {
        let by = line.entry.by().by.as_deref().unwrap_or("-");
        let said = match struck(line) {
            Some(why) => format!("({}) {why}", what(&line.entry)),
            None => what(&line.entry),
        };
        let number = format!("{:>4}", line.number);
        text.push_str(
            &[&number, "  ", &shown(line.at_ms, state), "  ", by, "  ", &said, "\n"].concat(),
        );
    }
    text.push('\n');
    text.push_str(&forecast::text(&state.recipe, log, forecast));
    text.push_str("finished when all of these hold:\n");
    for one in conditions(state, log, forecast) {
        let holds = if one.holds { "yes    " } else { "not yet" };
        text.push_str(&["  ", holds, "  ", &one.text, " (", &one.found, ")\n"].concat());
    }
    text
}
