//! What was learned, as a person reads it: the still's traits, how they moved, the alcohol's whereabouts.

use std::fmt::Write as _;

use estimate::{Account, AlcoholBalance, Belief, Character, Counted, Trait, Verdict};

use super::known::Known;
use crate::print::{columns, number};

/// Standard deviations from the mean to the end of the 80 % band.
const SD_OF_80: f64 = 1.281_552;
/// A cause less likely is not told.
const ODDS_TOLD: f64 = 0.05;
/// How many of the last runs the table shows one by one.
const RUNS_SHOWN: usize = 6;

/// The whole of it.
pub(super) fn write(known: &Known<'_>) -> String {
    let mut text = format!("{}\n", heading(known));
    for run in known.counted_before {
        let _ = writeln!(text, "{run} counts already");
    }
    text.push('\n');
    text.push_str(&columns(&traits(known.character)));
    text.push_str(&habits(known.character));
    if !known.taught.is_empty() {
        text.push('\n');
        text.push_str(&columns(&balances(known)));
        text.push('\n');
        for one in known.taught {
            told(&mut text, &one.run, &one.balance);
        }
    }
    match known.kept_in {
        "nowhere" => text.push_str("\nnot kept: --save FILE.json would\n"),
        place => {
            let _ = writeln!(text, "\nkept in {place}");
        }
    }
    text
}

/// How this person ran the still, as counted in the runs that taught; nothing where none was.
fn habits(character: &Character) -> String {
    let counted: Vec<&Counted> =
        character.history.iter().filter_map(|one| one.counted.as_ref()).collect();
    let steps: u32 = counted.iter().map(|run| run.changes.after_trigger).sum();
    let late_s: f64 = counted.iter().map(|run| run.changes.late_s).sum();
    let pauses: u32 = counted.iter().map(|run| run.pauses).sum();
    if steps == 0 && pauses == 0 {
        return String::new();
    }
    let mut text = String::new();
    if steps > 0 {
        let mean_s = number(late_s / f64::from(steps), 0);
        let due = if steps == 1 { "it was due" } else { "they were due in the mean" };
        let _ = write!(text, "\n{} begun {mean_s} s after {due}", many(steps, "step"));
    }
    let runs = u32::try_from(counted.len()).unwrap_or(u32::MAX);
    let _ = writeln!(text, "\n{} in the hearts of {}", many(pauses, "pause"), many(runs, "run"));
    text
}

/// So many of a thing, in words.
fn many(count: u32, thing: &str) -> String {
    format!("{count} {thing}{}", if count == 1 { "" } else { "s" })
}

/// What a balance says, what it is made of, and what would tell more.
fn told(text: &mut String, run: &str, balance: &AlcoholBalance) {
    let Some(account) = &balance.account else { return };
    let says = match (account.verdict, balance.causes.first()) {
        (Verdict::CannotTell, _) => "cannot tell: too little was gauged",
        (Verdict::AddsUp, _) | (_, None) => "the alcohol adds up, within what gauging can tell",
        (_, Some(cause)) => &cause.text,
    };
    let _ = writeln!(text, "{run}: {says}");
    for part in &account.parts {
        let (litres, sd) = (number(part.alcohol_l, 3), number(part.sd_l, 3));
        let _ = writeln!(text, "  {litres} ± {sd} L  {}", part.text);
    }
    for cause in balance.causes.iter().filter(|cause| cause.odds >= ODDS_TOLD) {
        let _ = writeln!(text, "  {} %  {}", number(100.0 * cause.odds, 0), cause.text);
    }
    if let Some(gauging) = &account.tells_most {
        let _ = writeln!(text, "  what would tell most: {}", gauging.text);
    }
}

fn heading(known: &Known<'_>) -> String {
    match known.runs {
        1 => format!("{}, as one run shows it", known.still),
        runs => format!("{}, as {runs} runs show it", known.still),
    }
}

/// Trait, value and band now, then the value after each of the last runs.
fn traits(character: &Character) -> Vec<Vec<String>> {
    let skipped = character.runs().saturating_sub(RUNS_SHOWN);
    let shown_runs = &character.history[skipped..];
    let mut header = vec![String::new(), "now".to_owned(), "4 in 5".to_owned()];
    header.extend((0..shown_runs.len()).map(|at| format!("run {}", skipped + at + 1)));
    let mut rows = vec![header];
    for of in Trait::ALL {
        let Some(belief) = character.belief(of) else { continue };
        let end = |side: f64| value(of, belief.mean + side * SD_OF_80 * belief.sd);
        let mut row = vec![
            label(of).to_owned(),
            with_unit(of, belief.mean),
            format!("{} to {}", end(-1.0), end(1.0)),
        ];
        row.extend(shown_runs.iter().map(|run| {
            let after = run.after.iter().find(|belief: &&Belief| belief.of == of);
            after.map(|belief| value(of, belief.mean)).unwrap_or_default()
        }));
        rows.push(row);
    }
    rows
}

const fn label(of: Trait) -> &'static str {
    match of {
        Trait::Separation => "separation, of what is stated",
        Trait::HeatLoss => "heat the boiler loses, of what is stated",
        Trait::ColumnLoss => "heat column and head lose, of what is stated",
        Trait::Heater => "heater gives, of its label",
        Trait::HoldUp => "liquid held up, of what is stated",
        Trait::HeadOffset => "head thermometer reads high by",
        Trait::PotOffset => "pot thermometer reads high by",
        Trait::Valve => "take-off gives, of what is set",
        Trait::Yield => "hearts give, of what is reckoned",
        Trait::VapourLost => "alcohol not lost as vapour, of what is charged",
    }
}

fn value(of: Trait, mean: f64) -> String {
    if of.is_ratio() { number(100.0 * mean.exp(), 0) } else { number(mean, 2) }
}

fn with_unit(of: Trait, mean: f64) -> String {
    format!("{} {}", value(of, mean), if of.is_ratio() { "%" } else { "K" })
}

fn balances(known: &Known<'_>) -> Vec<Vec<String>> {
    let header = ["pure alcohol, L", "charged", "collected", "left", "missing", "likeliest cause"];
    let row = |run: &str, balance: &AlcoholBalance| {
        let litres = |value: f64| number(value, 2);
        let missing = format!("{} ± {}", litres(balance.missing_l), litres(balance.missing_sd_l));
        let untold = |of: &Account| of.verdict == Verdict::CannotTell;
        if balance.account.as_ref().is_some_and(untold) {
            let [charged, collected] = [balance.charged_l, balance.collected_l].map(litres);
            let none = || "cannot tell".to_owned();
            return vec![
                run.to_owned(),
                charged,
                collected,
                litres(balance.left_l),
                none(),
                none(),
            ];
        }
        let cause = balance.causes.first().map_or_else(String::new, |cause| {
            format!("{} ({} %)", cause.code.replace('_', " "), number(100.0 * cause.odds, 0))
        });
        let [charged, collected, left] =
            [balance.charged_l, balance.collected_l, balance.left_l].map(litres);
        vec![run.to_owned(), charged, collected, left, missing, cause]
    };
    let mut rows = vec![header.map(ToOwned::to_owned).to_vec()];
    rows.extend(known.taught.iter().map(|one| row(&one.run, &one.balance)));
    rows
}
