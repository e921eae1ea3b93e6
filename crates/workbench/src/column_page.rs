//! What the thermometer in the column is worth, as text: the tables of docs/benchmark/column.md.

use std::fmt::Write as _;

use super::paired::{Gain, compare};
use super::scored::Scored;
use super::summary::{Side, Summary, summaries};

/// One drawn run: its scores with the thermometer and without, and what became of it.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// With it, moment by moment.
    pub with: Vec<Scored>,
    /// Without it.
    pub without: Vec<Scored>,
    /// What was the matter with it, or `none`.
    pub fault: String,
    /// Whether it was let go of, moment by moment.
    pub let_go: Vec<bool>,
}

/// The tables of each collection.
#[must_use]
pub fn page(collections: &[(&str, &[Outcome])], seed: u64) -> String {
    let mut text = String::new();
    for (name, runs) in collections {
        let _ = write!(text, "\n## {} columns, {name}\n\n", runs.len());
        let all: Vec<&Outcome> = runs.iter().collect();
        scores(&mut text, &all, seed);
        let sound: Vec<&Outcome> = runs.iter().filter(|run| run.fault == "none").collect();
        let faulty: Vec<&Outcome> = runs.iter().filter(|run| run.fault != "none").collect();
        for (what, of) in [("a sound thermometer", &sound), ("one that errs", &faulty)] {
            let pooled = pooled(of, seed);
            let _ = writeln!(text, "\nOf these {} with {what}, all moments: {pooled}.", of.len());
        }
        for fault in ["none", "drift", "wrong"] {
            let of: Vec<&Outcome> = runs.iter().filter(|run| run.fault == fault).collect();
            let at = |moment: usize| of.iter().filter(|run| run.let_go[moment]).count();
            let words = match fault {
                "none" => "Sound ones let go of",
                "drift" => "Drifting ones let go of",
                _ => "Ones that show something else let go of",
            };
            let counts = (0..5).map(|at_moment| at(at_moment).to_string()).collect::<Vec<_>>();
            let _ = writeln!(
                text,
                "\n{words}, at the five moments: {} of {}.",
                counts.join(", "),
                of.len()
            );
        }
    }
    text
}

fn scored(runs: &[&Outcome], of: fn(&Outcome) -> &Vec<Scored>) -> Vec<Scored> {
    runs.iter().flat_map(|run| of(run).clone()).collect()
}

fn gain(of: &Gain) -> String {
    format!("{:+.1} ({:+.1} to {:+.1})", of.percent, of.low, of.high)
}

fn pooled(runs: &[&Outcome], seed: u64) -> String {
    let (with, without) = (scored(runs, |run| &run.with), scored(runs, |run| &run.without));
    let lines = compare(&with, &without, seed);
    let line = lines.iter().find(|line| line.group == "columns" && line.moments == "all");
    line.map_or_else(
        || "none".to_owned(),
        |line| {
            format!("CRPS lower by {} % (end), {} % (litres)", gain(&line.end), gain(&line.litres))
        },
    )
}

fn scores(text: &mut String, runs: &[&Outcome], seed: u64) {
    let (with, without) = (scored(runs, |run| &run.with), scored(runs, |run| &run.without));
    let lines = compare(&with, &without, seed);
    let of_columns = |all: Vec<Summary>| -> Vec<Summary> {
        all.into_iter().filter(|one| one.group == "columns").collect()
    };
    let (ours, theirs) = (of_columns(summaries(&with)), of_columns(summaries(&without)));
    text.push_str(
        "| | n | CRPS without, with | lower by, % (95 %) | in 80 % without, with | width 80 without, with |\n\
         |---|---|---|---|---|---|\n",
    );
    for (what, side, of_line) in [
        ("end", (|one: &Summary| one.end) as fn(&Summary) -> Side, 0),
        ("litres", |one: &Summary| one.litres, 1),
    ] {
        for (our, their) in ours.iter().zip(&theirs) {
            let moments = our
                .at_fraction
                .map_or("all".to_owned(), |at| format!("{} %", (100.0 * at).round()));
            let line = lines.iter().find(|line| line.group == "columns" && line.moments == moments);
            let gained = line.map(|line| gain(if of_line == 0 { &line.end } else { &line.litres }));
            let (a, b) = (side(their), side(our));
            let _ = writeln!(
                text,
                "| {what}, {moments} | {} | {:.2}, {:.2} | {} | {:.2}, {:.2} | {:.1}, {:.1} |",
                our.count,
                a.crps,
                b.crps,
                gained.unwrap_or_default(),
                a.cover_80,
                b.cover_80,
                a.width_80,
                b.width_80
            );
        }
    }
}
