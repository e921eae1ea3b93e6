//! `middlecut feeds check`: what is wrong with the file, or what came from each source.

use std::time::Duration;

use feeds::{Say, Standing, Whose};
use serde::Serialize;
use server::{CheckedStill, check_feeds};

use super::data;
use crate::args::{FeedsArgs, FeedsCheckArgs, FeedsCommand};
use crate::error::CliError;
use crate::print::{self, number};

/// Least and most seconds of a check (judgement: time for a look, and no watch).
const SECONDS: (f64, f64) = (0.5, 600.0);

#[derive(Debug, Serialize)]
struct FeedsWire {
    values: Vec<ValueWire>,
}

#[derive(Debug, Serialize)]
struct ValueWire {
    #[serde(skip_serializing_if = "Option::is_none")]
    still: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    wash: Option<String>,
    channel: &'static str,
    source: String,
    path: String,
    raw: Option<f64>,
    raw_unit: &'static str,
    value: Option<f64>,
    unit: &'static str,
    age_s: Option<f64>,
    speaks: bool,
    #[serde(skip)]
    sound: bool,
    why: Option<String>,
}

impl ValueWire {
    /// Whether of a still or of a wash, and its name.
    fn whose(&self) -> (Whose, &str) {
        match (&self.still, &self.wash) {
            (None, Some(wash)) => (Whose::Wash, wash),
            (still, _) => (Whose::Still, still.as_deref().unwrap_or_default()),
        }
    }
}

/// Does what was asked.
pub(crate) fn run(args: &FeedsArgs, json: bool) -> Result<(), CliError> {
    match &args.what {
        FeedsCommand::Check(args) => check(args, json),
    }
}

fn check(args: &FeedsCheckArgs, json: bool) -> Result<(), CliError> {
    if !(SECONDS.0..=SECONDS.1).contains(&args.seconds) {
        let bound = format!("must lie from {} to {} s", SECONDS.0, SECONDS.1);
        let hint = "five seconds are enough for most probes".to_owned();
        return Err(CliError::Value { option: "--seconds", value: args.seconds, bound, hint });
    }
    let folder = data::folder(args.data.as_deref())?;
    let checked = check_feeds(&folder, Duration::from_secs_f64(args.seconds));
    let checked = checked.map_err(|error| CliError::Feeds(Box::new(error)))?;
    let values: Vec<ValueWire> = checked.stills.iter().flat_map(of_one).collect();
    let silent = silent(&values);
    if json {
        print::json(&FeedsWire { values })?;
    } else {
        print::text(&table(&values))?;
    }
    if silent.is_empty() { Ok(()) } else { Err(CliError::Unfed { channels: silent.join(", ") }) }
}

fn of_one(still: &CheckedStill) -> Vec<ValueWire> {
    let name = |whose| (still.still.whose == whose).then(|| still.still.name.clone());
    let wire = |say: &Say| ValueWire {
        still: name(Whose::Still),
        wash: name(Whose::Wash),
        channel: say.probe.column(),
        source: still.still.sources[say.source].name.clone(),
        path: still.still.sources[say.source].place_of(say.probe),
        raw: say.raw,
        raw_unit: say.raw_unit,
        value: say.value,
        unit: say.probe.unit(),
        age_s: say.age_s,
        speaks: say.speaks,
        sound: say.standing == Standing::Good,
        why: say.why.clone(),
    };
    still.says.iter().map(wire).collect()
}

/// Channels that nobody speaks for, or none that can be believed.
fn silent(values: &[ValueWire]) -> Vec<String> {
    let speaks = |of: &ValueWire| {
        values
            .iter()
            .any(|v| v.speaks && v.sound && v.whose() == of.whose() && v.channel == of.channel)
    };
    let mut silent: Vec<String> = Vec::new();
    for value in values.iter().filter(|value| !speaks(value)) {
        let named = format!("{} of {}", value.channel, value.whose().1);
        if !silent.contains(&named) {
            silent.push(named);
        }
    }
    silent
}

fn table(values: &[ValueWire]) -> String {
    let heads = ["of", "", "channel", "source", "raw", "value", "age s", "speaks", "why"];
    let mut rows = vec![heads.map(str::to_owned).to_vec()];
    let with_unit = |value: Option<f64>, unit: &str| {
        value.map_or_else(|| "-".to_owned(), |value| format!("{} {unit}", number(value, 2)))
    };
    for value in values {
        rows.push(vec![
            value.whose().0.word().to_owned(),
            value.whose().1.to_owned(),
            value.channel.to_owned(),
            value.source.clone(),
            with_unit(value.raw, value.raw_unit),
            with_unit(value.value, value.unit),
            value.age_s.map_or_else(|| "-".to_owned(), |age_s| number(age_s, 1)),
            if value.speaks { "yes" } else { "no" }.to_owned(),
            value.why.clone().unwrap_or_default(),
        ]);
    }
    print::columns(&rows)
}
