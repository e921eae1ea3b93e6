//! `middlecut upkeep`: what is kept up at a still, when it was done, and what is due.

use serde::Serialize;
use server::Clock;
use store::time::format_start;
use store::{KnownUpkeep, Store, Upkeep, UpkeepDone, UpkeepKind};

use super::account::moment;
use super::data;
use crate::args::{UpkeepArgs, UpkeepCommand, UpkeepOf, UpkeepWord};
use crate::error::CliError;
use crate::print;

#[derive(Debug, Serialize)]
struct UpkeepWire<'a> {
    name: &'a str,
    kind: &'static str,
    every_days: Option<u32>,
    every_runs: Option<u32>,
    last_ms: Option<i64>,
    runs_since: u32,
    due_ms: Option<i64>,
    overdue: bool,
    words: String,
    done: Vec<&'a UpkeepDone>,
}

/// Does what was asked, and lists it.
pub(crate) fn run(args: &UpkeepArgs, json: bool) -> Result<(), CliError> {
    let now_ms = Clock::default().now_ms();
    let open = |of: &UpkeepOf| -> Result<Store, CliError> {
        Ok(Store::open(&data::existing(of.data.as_deref())?)?)
    };
    match &args.what {
        UpkeepCommand::List(of) => {
            let dir = data::existing(of.data.as_deref())?;
            list(&Store::open_read_only(&dir)?, &of.still, now_ms, json)
        }
        UpkeepCommand::State(args) => {
            let store = open(&args.of)?;
            let (still, name) = (args.of.still.clone(), args.name.trim().to_owned());
            let kind = match args.kind {
                UpkeepWord::Cleaning => UpkeepKind::Cleaning,
                UpkeepWord::Maintenance => UpkeepKind::Maintenance,
                UpkeepWord::Calibration => UpkeepKind::Calibration,
            };
            let (every_days, every_runs) = (args.days, args.runs);
            store.state_upkeep(Upkeep { still, name, kind, every_days, every_runs }, now_ms)?;
            list(&store, &args.of.still, now_ms, json)
        }
        UpkeepCommand::Done(args) => {
            let (at_ms, _) = moment("--at", args.at.as_deref())?;
            let store = open(&args.of)?;
            let done = UpkeepDone {
                still: args.of.still.clone(),
                name: args.name.trim().to_owned(),
                at_ms,
                good: !args.bad,
                with: args.with.clone(),
                found: args.found.clone(),
                by: args.by.clone(),
            };
            store.did_upkeep(done, now_ms)?;
            list(&store, &args.of.still, now_ms, json)
        }
        UpkeepCommand::Drop(args) => {
            let store = open(&args.of)?;
            store.drop_upkeep(&args.of.still, args.name.trim(), now_ms)?;
            list(&store, &args.of.still, now_ms, json)
        }
    }
}

fn list(store: &Store, still: &str, now_ms: i64, json: bool) -> Result<(), CliError> {
    let known = store.upkeep(still)?;
    if json {
        let wire = |one| wire(one, now_ms);
        return Ok(print::json(&known.iter().map(wire).collect::<Vec<_>>())?);
    }
    let mut text = String::new();
    for one in &known {
        text.push_str(&told(one, now_ms));
    }
    if known.is_empty() {
        text.push_str("nothing is kept up at this still: `middlecut upkeep state`\n");
    }
    Ok(print::text(&text)?)
}

fn wire(one: &KnownUpkeep, now_ms: i64) -> UpkeepWire<'_> {
    UpkeepWire {
        name: &one.upkeep.name,
        kind: one.upkeep.kind.word(),
        every_days: one.upkeep.every_days,
        every_runs: one.upkeep.every_runs,
        last_ms: one.last_ms,
        runs_since: one.runs_since,
        due_ms: one.due_ms,
        overdue: one.overdue(now_ms),
        words: one.words(now_ms),
        done: one.done.iter().map(|done| &done.2).collect(),
    }
}

fn told(one: &KnownUpkeep, now_ms: i64) -> String {
    let mark = if one.overdue(now_ms) { "OVERDUE  " } else { "" };
    let mut lines = vec![
        format!("{mark}{} ({})", one.upkeep.name, one.upkeep.kind.word()),
        format!("  {}", one.words(now_ms)),
    ];
    for (_, _, done) in one.done.iter().rev().take(3) {
        let day: String =
            format_start(done.at_ms, 0).unwrap_or_default().chars().take(10).collect();
        let parts = [
            done.by.as_ref().map(|by| format!("by {by}")),
            Some(done.with.clone()).filter(|with| !with.is_empty()),
            Some(done.found.clone()).filter(|found| !found.is_empty()),
            (!done.good).then(|| "NOT AS IT SHOULD BE".to_owned()),
        ];
        let parts: Vec<String> = parts.into_iter().flatten().collect();
        lines.push(format!("  {day}  {}", parts.join("; ")));
    }
    lines.join("\n") + "\n"
}
