//! The scores as text: the middle part of docs/benchmark/ferment.md.

use std::fmt::Write as _;

use super::Said;
use super::summary::{Scores, States, scores, states};

/// Words of the four states, in their order.
const WORDS: [&str; 4] = ["working", "slow", "stuck", "finished"];

/// A group of answers by name.
type Group<'a> = (&'a str, Box<dyn Fn(&Said) -> bool>);

fn groups() -> Vec<Group<'static>> {
    let mut groups: Vec<Group<'static>> = vec![("all", Box::new(|_| true))];
    for end in ["finished", "slow", "stuck"] {
        groups.push((end, Box::new(move |one| one.moment.kind_of_end == end)));
    }
    for kind in ["sugar", "molasses", "fruit", "grain"] {
        groups.push((kind, Box::new(move |one| one.kind == kind)));
    }
    for (words, moment) in [
        ("a quarter of the way", "0.25"),
        ("half", "0.5"),
        ("three quarters", "0.75"),
        ("nine tenths", "0.9"),
    ] {
        groups.push((words, Box::new(move |one| one.moment.moment == moment)));
    }
    groups
}

fn row(text: &mut String, name: &str, found: &Scores) {
    let ([end_80, end_95], [strength_80, strength_95]) = (found.end_inside, found.strength_inside);
    let _ = writeln!(
        text,
        "| {name} | {} | {:.1} | {:+.0} | {end_80:.2} | {end_95:.2} | {:.3} | {strength_80:.2} | {strength_95:.2} |",
        found.count, found.end_percent, found.end_off_percent, found.strength_vol
    );
}

fn told(text: &mut String, found: &States) {
    let _ = writeln!(text, "\n| truth, and what was told | {} | n |", WORDS.join(" | "));
    text.push_str("|---|---|---|---|---|---|\n");
    for (word, row) in WORDS.iter().zip(&found.table) {
        let cells = row.map(|count| count.to_string()).join(" | ");
        let _ = writeln!(text, "| {word} | {cells} | {} |", row.iter().sum::<usize>());
    }
    let of = |row: &[usize; 4]| row.iter().sum::<usize>();
    let share = |part: usize, whole: usize| part as f64 / whole.max(1) as f64;
    let [working, slow, stuck, finished] = &found.table;
    let false_finished = working[3] + slow[3] + stuck[3];
    let unfinished = of(working) + of(slow) + of(stuck);
    let [sure, right] = found.sure;
    let [ends, apart] = found.apart;
    let _ = write!(
        text,
        "\nSaid finished and was not: {false_finished} of {unfinished}. Finished ones found: {:.2}. \
         Stuck ones told stuck: {:.2}. A chance of finished over 0.9 was given {sure} times and true \
         {right} times. Stuck and finished told apart by the larger chance of the two: {:.2} of {ends}. \
         Cost of an answer: {:.3}.\n",
        share(finished[3], of(finished)),
        share(stuck[2], of(stuck)),
        share(apart, ends),
        found.cost
    );
}

/// Tables of scores and states, and what a forecast took.
#[must_use]
pub fn page(said: &[Said]) -> String {
    let mut text = String::from(
        "| | n | end, CRPS, % | told late, % | in 80 % | in 95 % | strength, CRPS, % vol | in 80 % | in 95 % |\n\
         |---|---|---|---|---|---|---|---|---|\n",
    );
    for (name, belongs) in groups() {
        let group: Vec<&Said> = said.iter().filter(|one| belongs(one)).collect();
        if let Some(found) = scores(&group) {
            row(&mut text, name, &found);
        }
    }
    told(&mut text, &states(&said.iter().collect::<Vec<_>>()));
    let mut took: Vec<f64> = said.iter().map(|one| one.took_ms / 1000.0).collect();
    took.sort_by(f64::total_cmp);
    if let (Some(middle), Some(slowest)) = (took.get(took.len() / 2), took.last()) {
        let kept = if *slowest <= 0.5 { "kept" } else { "NOT kept" };
        let _ = write!(
            text,
            "\nEach of these {} forecasts took {middle:.2} s in the middle and {slowest:.2} s at most, \
             on one core (bound 0.5 s: {kept}).\n",
            took.len()
        );
    }
    text
}
