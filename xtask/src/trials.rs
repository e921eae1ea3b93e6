//! `cargo xtask trials`: the release program tried from outside, as a server on a real clock.

use std::fmt::Write as _;
use std::path::Path;
use std::time::Instant;

use crate::command::{ChoreError, Done, cargo, run};

/// The trials in the order in which they run. Those of one line run side by side: they wait for most
/// of their time. What measures how quick the server is, or takes every core, runs alone.
const GROUPS: [&[&str]; 6] = [
    &["feeders"],
    &["feeds"],
    &["restart"],
    &["clock", "head_off", "power_cut"],
    &["kills"],
    &["rehearsals"],
];
/// What a figure that was not held says.
const NOT_HELD: &str = "NOT HELD";

/// Runs those trials, all of them where none is named, and prints what they measured.
pub(crate) fn run_trials(root: &Path, wanted: &[&str]) -> Done {
    let known = GROUPS.concat();
    if let Some(other) = wanted.iter().find(|name| !known.contains(name)) {
        return Err(ChoreError::Option { given: (*other).to_owned(), allowed: known.join(", ") });
    }
    let folder = root.join("target/trials");
    let file = |why| ChoreError::File { path: folder.clone(), why };
    if folder.exists() {
        std::fs::remove_dir_all(&folder).map_err(file)?;
    }
    std::fs::create_dir_all(&folder).map_err(file)?;
    let started = Instant::now();
    let mut failed = Vec::new();
    for group in GROUPS {
        let chosen: Vec<&str> = group
            .iter()
            .copied()
            .filter(|name| wanted.is_empty() || wanted.contains(name))
            .collect();
        if chosen.is_empty() {
            continue;
        }
        let program = ["test", "--release", "--quiet", "-p", "middlecut", "--test", "trials", "--"];
        let threads = format!("--test-threads={}", chosen.len());
        let mut command = cargo(root, &[&program[..], &chosen, &[threads.as_str()]].concat());
        if let Err(error) = run(command.env("MIDDLECUT_TRIALS", &folder)) {
            println!("{error}");
            failed.extend(chosen);
        }
    }
    let mut rows = Vec::new();
    for entry in std::fs::read_dir(&folder).map_err(file)? {
        let text = entry.and_then(|entry| std::fs::read_to_string(entry.path())).map_err(file)?;
        rows.extend(text.lines().map(str::to_owned));
    }
    rows.sort_by_key(|row| row.split('\t').next().map(str::to_owned));
    print!("\n{}", table(&rows));
    println!("{} figures in {:.0} s", rows.len(), started.elapsed().as_secs_f64());
    // A trial that broke off has no figure to say so.
    if failed.is_empty() { Ok(()) } else { Err(ChoreError::Trials { names: failed }) }
}

/// Rows of cells as a table; what was not held comes again below.
fn table(rows: &[String]) -> String {
    let head = "trial\twhat\tmeasured\tbound\t".to_owned();
    let cells = |row: &String| row.split('\t').map(str::to_owned).collect::<Vec<_>>();
    let all: Vec<Vec<String>> = std::iter::once(&head).chain(rows).map(cells).collect();
    let width = |column: usize| {
        let lengths = all.iter().filter_map(|row| row.get(column));
        lengths.map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let line = |row: &Vec<String>| {
        let padded = row.iter().enumerate().map(|(column, cell)| {
            let gap = width(column) - cell.chars().count();
            format!("{cell}{}", " ".repeat(gap))
        });
        format!("{}\n", padded.collect::<Vec<_>>().join("  ").trim_end())
    };
    let broken: Vec<_> =
        all.iter().filter(|row| row.last().is_some_and(|c| c == NOT_HELD)).collect();
    let mut text: String = all.iter().map(line).collect();
    if !broken.is_empty() {
        let _ = writeln!(text, "\n{} not held:", broken.len());
        text.extend(broken.into_iter().map(line));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::{run_trials, table};

    #[test]
    fn what_was_not_held_is_told_again_below_the_table() {
        let rows = ["a\tone\t1 s\tat most 2 s\theld", "b\tthe other\t3 °C\tnone\tNOT HELD"];
        let text = table(&rows.map(str::to_owned));
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[1], "a      one        1 s       at most 2 s  held");
        assert_eq!(lines[2], "b      the other  3 °C      none         NOT HELD");
        assert_eq!(lines[4..], ["1 not held:", lines[2]]);
        assert!(!table(&[rows[0].to_owned()]).contains("not held:"));
    }

    #[test]
    fn a_trial_that_is_not_there_is_refused_with_those_that_are() {
        let refused = run_trials(std::path::Path::new("/nowhere"), &["clocks"]).unwrap_err();
        assert!(refused.hint().is_some_and(|hint| hint.contains("clock, head_off")), "{refused}");
    }
}
