//! `middlecut alarms`: tries the outputs, and looks back at the alarms of a run.

use std::fmt::Write as _;

use advise::{AlarmReview, Priority};
use serde::Serialize;
use server::{EXAMPLE_FOLDER, OutputResult, test_alerts};
use store::{RunId, RunState, Store, StoreError};

use super::data;
use super::live::options;
use crate::args::{AlarmsArgs, AlarmsCommand, AlarmsReviewArgs, AlarmsTestArgs};
use crate::error::CliError;
use crate::print::{self, clock, number};

#[derive(Debug, Serialize)]
struct TestedWire {
    outputs: Vec<OutputWire>,
}

#[derive(Debug, Serialize)]
struct OutputWire {
    output: &'static str,
    set: bool,
    failed: Option<String>,
}

#[derive(Debug, Serialize)]
struct ReviewWire {
    run: String,
    run_s: f64,
    alarms: u64,
    per_hour: f64,
    second_person: u64,
    worst: Vec<WorstWire>,
    quiet: Vec<QuietWire>,
}

#[derive(Debug, Serialize)]
struct WorstWire {
    code: &'static str,
    words: &'static str,
    priority: &'static str,
    times: u64,
    stood_s: f64,
}

#[derive(Debug, Serialize)]
struct QuietWire {
    code: String,
    words: &'static str,
    from_s: f64,
    lasts_s: f64,
    reason: String,
}

/// Does what was asked.
pub(crate) fn run(args: &AlarmsArgs, json: bool) -> Result<(), CliError> {
    match &args.what {
        AlarmsCommand::Test(args) => test(args, json),
        AlarmsCommand::Review(args) => review(args, json),
    }
}

fn test(args: &AlarmsTestArgs, json: bool) -> Result<(), CliError> {
    let results = test_alerts(&data::folder(args.data.as_deref())?)?;
    let told = |result: &OutputResult| result.set && result.failed.is_none();
    let silent: Vec<&str> = results
        .iter()
        // A bell that nobody hears is no fault where another output tells.
        .filter(|result| result.set && !told(result) && result.output != "bell")
        .map(|result| result.output)
        .collect();
    let (silent, none) = (silent.join(", "), !results.iter().any(told));
    if json {
        let wire = |result: OutputResult| {
            let OutputResult { output, set, failed } = result;
            OutputWire { output, set, failed }
        };
        print::json(&TestedWire { outputs: results.into_iter().map(wire).collect() })?;
    } else {
        let row = |result: &OutputResult| {
            let came = result.failed.clone().unwrap_or_else(|| "told".to_owned());
            vec![result.output.to_owned(), came]
        };
        print::text(&print::columns(&results.iter().map(row).collect::<Vec<_>>()))?;
    }
    if silent.is_empty() && !none { Ok(()) } else { Err(CliError::Unheard { silent }) }
}

fn review(args: &AlarmsReviewArgs, json: bool) -> Result<(), CliError> {
    let folder = data::folder(args.data.as_deref())?;
    let run = RunId::new(&args.run);
    let state = match Store::open_read_only(&folder)?.run(&run) {
        Err(StoreError::NoRun { run: named }) => {
            let example = Store::open_read_only(&folder.join(EXAMPLE_FOLDER));
            example.map_err(|_| StoreError::NoRun { run: named })?.run(&run)?
        }
        other => other?,
    };
    let review = of(&state)?;
    if json {
        print::json(&wire(&args.run, &review))?;
    } else {
        print::text(&words(&review))?;
    }
    Ok(())
}

/// The alarms of a run, played through the engine once more.
fn of(state: &RunState) -> Result<AlarmReview, CliError> {
    let mut review = None;
    advise::replay_as(&state.plan, &state.rows, options(false), &mut |event, live| {
        if event.code == "run_ended" {
            review = Some(live.alarm_review());
        }
    })?;
    let none = AlarmReview {
        run_s: 0.0,
        alarms: 0,
        per_hour: 0.0,
        second_person: 0,
        worst: Vec::new(),
        quiet: Vec::new(),
    };
    Ok(review.unwrap_or(none))
}

const fn priority(priority: Priority) -> &'static str {
    match priority {
        Priority::Low => "low",
        Priority::Medium => "medium",
        Priority::High => "high",
        Priority::Critical => "critical",
    }
}

fn wire(run: &str, review: &AlarmReview) -> ReviewWire {
    let worst = review.worst.iter().map(|one| WorstWire {
        code: one.code,
        words: one.words,
        priority: priority(one.priority),
        times: one.times,
        stood_s: one.stood_s,
    });
    let quiet = review.quiet.iter().map(|one| QuietWire {
        code: one.code.clone(),
        words: one.words,
        from_s: one.from_s,
        lasts_s: one.lasts_s,
        reason: one.reason.clone(),
    });
    ReviewWire {
        run: run.to_owned(),
        run_s: review.run_s,
        alarms: review.alarms,
        per_hour: review.per_hour,
        second_person: review.second_person,
        worst: worst.collect(),
        quiet: quiet.collect(),
    }
}

fn words(review: &AlarmReview) -> String {
    let mut text = format!(
        "{} alarms in {} h, {} an hour\n",
        review.alarms,
        clock(review.run_s),
        number(review.per_hour, 1)
    );
    if review.second_person > 0 {
        let _ =
            writeln!(text, "nobody answered: {} calls of the second person", review.second_person);
    }
    if !review.worst.is_empty() {
        let heads = ["alarm", "priority", "times", "stood"].map(str::to_owned).to_vec();
        let row = |one: &advise::WorstAlarm| {
            let stood = format!("{} h", clock(one.stood_s));
            let words = one.words.to_owned();
            vec![words, priority(one.priority).to_owned(), one.times.to_string(), stood]
        };
        let rows: Vec<_> = std::iter::once(heads).chain(review.worst.iter().map(row)).collect();
        text.push_str(&print::columns(&rows));
    }
    for one in &review.quiet {
        let (from, lasts) = (clock(one.from_s), number(one.lasts_s / 60.0, 0));
        let _ = writeln!(text, "quiet at {from} for {lasts} min: {}: {}", one.words, one.reason);
    }
    text
}
