//! One reading's way through the code, as ARCHITECTURE.md has it: each file is reached from one before
//! it by what the table says, there are no more of them than may be, and none comes twice.

use std::path::Path;

/// The page that has the table.
const PAGE: &str = "ARCHITECTURE.md";
/// What the table begins with.
const HEAD: &str = "| file | takes it by | from | where it stands as |";
/// Most files of the way.
const FILES_MAX: usize = 20;
/// Fewer are no table.
const FILES_LEAST: usize = 10;

/// One file of the way.
struct Stop {
    file: String,
    takes: String,
    from: String,
    gives: String,
}

/// The stops of the table.
fn stops(page: &str) -> Vec<Stop> {
    let lines = page.lines().skip_while(|line| *line != HEAD).skip(2);
    let rows = lines.take_while(|line| line.starts_with('|'));
    // A bar between ticks is no border.
    let cells = |row: &str| -> Vec<String> {
        row.split(" | ").map(|cell| cell.trim_matches(['|', ' ', '`']).to_owned()).collect()
    };
    rows.filter_map(|row| {
        let [file, takes, from, gives] = <[String; 4]>::try_from(cells(row)).ok()?;
        Some(Stop { file, takes, from, gives })
    })
    .collect()
}

/// What of the table is not so; `read` gives a file of the tree.
fn untrue(stops: &[Stop], read: impl Fn(&str) -> Option<String>) -> Vec<String> {
    let mut findings = Vec::new();
    if !(FILES_LEAST..=FILES_MAX).contains(&stops.len()) {
        let files = stops.len();
        findings.push(format!("{PAGE}: one reading's way has {files} files, not to {FILES_MAX}"));
    }
    let has = |file: &str, what: &str| read(file).is_some_and(|text| text.contains(what));
    for (at, stop) in stops.iter().enumerate() {
        let Stop { file, takes, from, gives } = stop;
        let mut say = |what: &str| findings.push(format!("{PAGE}: one reading's way: {what}"));
        if stops[..at].iter().any(|before| before.file == *file) {
            say(&format!("{file} comes twice"));
        }
        if !has(file, takes) {
            say(&format!("{file} has no `{takes}`"));
        }
        if at > 0 && !stops[..at].iter().any(|before| before.file == *from) {
            say(&format!("{file} is reached from {from}, which is no file before it"));
        }
        if at > 0 && !has(from, gives) {
            say(&format!("{from} has no `{gives}`"));
        }
    }
    findings
}

/// What is not so of the way.
pub(super) fn check(root: &Path) -> Vec<String> {
    let read = |file: &str| std::fs::read_to_string(root.join(file)).ok();
    untrue(&stops(&read(PAGE).unwrap_or_default()), read)
}

#[cfg(test)]
mod tests {
    use super::{HEAD, stops, untrue};

    fn page(rows: usize) -> String {
        let row =
            |i: usize| format!("| `f{i}` | `fn take{i}(` | `f{}` | `take{i}(` |\n", i.max(1) - 1);
        format!(
            "words\n{HEAD}\n|---|---|---|---|\n{}\nmore",
            (0..rows).map(row).collect::<String>()
        )
    }

    fn found(rows: usize, without: &str) -> usize {
        let all = |file: &str| {
            let i: usize = file.trim_start_matches('f').parse().ok()?;
            Some(format!("fn take{i}(x) {{ take{}(x) }}", i + 1).replace(without, "gone"))
        };
        untrue(&stops(&page(rows)), all).len()
    }

    #[test]
    fn a_way_is_followed_and_one_that_breaks_off_or_is_too_long_is_found() {
        assert_eq!(found(12, "?"), 0);
        assert_eq!(found(12, "fn take4("), 1, "it is not taken there");
        assert_eq!(found(12, "{ take4("), 1, "it is not given on");
        assert_eq!((found(21, "?"), found(2, "?")), (1, 1), "too long, and no table");
    }
}
