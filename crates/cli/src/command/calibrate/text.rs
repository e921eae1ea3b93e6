//! What was found, as a person reads it: the values, what these runs cannot tell, each run against
//! the fit of the others, and which run should tell most.

use std::fmt::Write as _;

use estimate::{Calibration, Compared, Parameter, Value, Worth};
use store::CALIBRATED_KEYS;

use super::wire::Said;
use crate::print::{columns, number};

/// How many further runs are named.
const NEXT_SHOWN: usize = 4;

/// The whole of it.
pub(super) fn write(said: &Said<'_>) -> String {
    let found = said.found;
    let mut text = format!("{}, {} runs fitted together\n\n", found.still.name, said.names.len());
    text.push_str(&columns(&values(found)));
    text.push('\n');
    text.push_str(&apart(found));
    text.push('\n');
    text.push_str(&columns(&runs(said)));
    for line in probes(said) {
        let _ = writeln!(text, "{line}");
    }
    text.push_str("\nWhat should tell most next:\n");
    for next in found.next.iter().take(NEXT_SHOWN) {
        let (of, share) = next.most;
        let _ = writeln!(
            text,
            "  {}: {} % of the doubt less, {} % of that about {}",
            next.text,
            percent(next.variance_less),
            percent(share),
            label(of)
        );
    }
    text.push_str("\nFor the [still] of its run files:\n");
    text.push_str(&keys(found));
    let kept = said.kept_in.as_ref().map_or_else(
        || "not kept: --store would state them of this still in the record".to_owned(),
        |place| format!("kept in {place}, as what is stated of this still from now on"),
    );
    let _ = writeln!(text, "\n{kept}");
    text
}

fn percent(share: f64) -> String {
    number(100.0 * share, 0)
}

const fn label(of: Parameter) -> &'static str {
    match of {
        Parameter::ColumnLoss => "heat lost by column and head",
        Parameter::BoilerLoss => "heat lost by the boiler",
        Parameter::Efficiency => "efficiency of a stage",
        Parameter::HoldUp => "liquid held up",
        Parameter::VapourLost => "vapour lost, of what is drawn",
        Parameter::ChargeStrength => "strength of all charges, of what is stated",
    }
}

/// A value in the unit a person reads, and the unit.
fn shown(of: Parameter, value: f64) -> (String, &'static str) {
    match of {
        Parameter::ColumnLoss | Parameter::BoilerLoss => (number(value, 2), "W/K"),
        Parameter::HoldUp => (number(value, 2), "L"),
        Parameter::Efficiency => (number(value, 2), ""),
        Parameter::VapourLost => (number(100.0 * value, 1), "%"),
        Parameter::ChargeStrength => (number(100.0 * value, 0), "%"),
    }
}

fn values(found: &Calibration) -> Vec<Vec<String>> {
    let header = ["", "now", "4 in 5", "before, 4 in 5", "told by these runs", "goes with"];
    let mut rows = vec![header.map(ToOwned::to_owned).to_vec()];
    for Value { of, value, prior, spread_left, told, goes_with } in &found.values {
        let at = |value: f64| shown(*of, value).0;
        let (now, unit) = shown(*of, value.p50);
        let told = if *told { "yes" } else { "no" };
        rows.push(vec![
            label(*of).to_owned(),
            format!("{now} {unit}").trim_end().to_owned(),
            format!("{} to {}", at(value.p10), at(value.p90)),
            format!("{} to {}", at(prior.p10), at(prior.p90)),
            format!("{told}, {} % of the doubt left", percent(*spread_left)),
            goes_with.map_or_else(String::new, |(other, with)| {
                format!("{} ({})", label(other), number(with, 2))
            }),
        ]);
    }
    rows
}

/// What these runs cannot tell.
fn apart(found: &Calibration) -> String {
    let mut text = String::new();
    for (one, other, with) in &found.not_apart {
        let _ = writeln!(
            text,
            "These runs cannot tell apart: {} and {} (correlation {}).",
            label(*one),
            label(*other),
            number(*with, 2)
        );
    }
    let untold: Vec<&str> =
        found.values.iter().filter(|value| !value.told).map(|value| label(value.of)).collect();
    if !untold.is_empty() {
        let _ = writeln!(text, "These runs say little about: {}.", untold.join("; "));
    }
    if text.is_empty() {
        text.push_str("These runs tell all of them.\n");
    }
    text
}

fn compared(run: Option<&Compared>) -> [String; 3] {
    let Some(run) = run else { return ["-", "-", "-"].map(ToOwned::to_owned) };
    let or = |value: Option<f64>, decimals: usize, unit: &str| {
        value.map_or_else(|| "-".to_owned(), |value| format!("{} {unit}", number(value, decimals)))
    };
    [
        or(run.strength_rms_vol, 1, "% vol"),
        or(Some(run.end_percent), 1, "%"),
        or(run.alcohol_percent, 1, "%"),
    ]
}

fn runs(said: &Said<'_>) -> Vec<Vec<String>> {
    let header = [
        "run",
        "charge",
        "fitted: strength",
        "end",
        "alcohol",
        "from the others: strength",
        "end",
        "alcohol",
    ];
    let mut rows = vec![header.map(ToOwned::to_owned).to_vec()];
    for (name, run) in said.names.iter().zip(&said.found.runs) {
        let charge = format!(
            "{} L of {} % vol",
            number(run.charge.litres.p50, 1),
            number(run.charge.strength_vol.p50, 1)
        );
        let mut row = vec![name.run.clone(), charge];
        row.extend(compared(Some(&run.fitted)));
        row.extend(compared(run.left_out.as_ref()));
        rows.push(row);
    }
    rows
}

/// What of the probes was let go of.
fn probes(said: &Said<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    for (name, run) in said.names.iter().zip(&said.found.runs) {
        let let_go = |worth: Worth, what: &str| {
            (worth == Worth::LetGo).then(|| format!("{}: {what}", name.run))
        };
        lines.extend(let_go(
            run.head,
            "the head thermometer does not fit the jars and was not used",
        ));
        lines.extend(let_go(run.pot, "the pot thermometer does not fit the jars and was not used"));
        lines.extend(let_go(run.coolant, "the coolant's heat does not fit and was not used"));
        if run.coolant == Worth::UsedAsReflux {
            lines.push(format!("{}: the coolant takes the heat of the reflux alone", name.run));
        }
    }
    lines
}

/// The keys that were found, as a run file has them.
fn keys(found: &Calibration) -> String {
    let all = toml::to_string(&found.still).unwrap_or_default();
    let is_wanted =
        |line: &&str| CALIBRATED_KEYS.contains(&line.split(' ').next().unwrap_or_default());
    all.lines().filter(is_wanted).fold(String::new(), |mut text, line| {
        let _ = writeln!(text, "  {line}");
        text
    })
}
