//! Below `store`, and in `feeds`, nothing reads a clock, a file, a socket, the environment or a random source.

use super::tree::{File, Tree};

/// The crates this holds for.
const PURE: [&str; 13] = [
    "quantities",
    "numerics",
    "alcoholometry",
    "account",
    "thermo",
    "ferment",
    "still",
    "sense",
    "estimate",
    "finishing",
    "advise",
    "rehearse",
    "feeds",
];

/// What must not be named there, and what to do instead.
const FORBIDDEN: [(&str, &str); 13] = [
    ("std::fs", "take the text as an argument, or include_str! a reference file"),
    ("std::net", "sockets belong to server"),
    ("std::env", "take the setting as an argument"),
    ("std::process", "programs are started by cli only"),
    ("SystemTime", "take the time as an argument: a replay must see the same time"),
    ("Instant", "take run time as an argument: a replay must see the same time"),
    ("thread::sleep", "only server and cli wait"),
    ("thread_rng", "take a seed as an argument: a rehearsal must repeat"),
    ("from_os_rng", "take a seed as an argument: a rehearsal must repeat"),
    ("rand::rng", "take a seed as an argument: a rehearsal must repeat"),
    ("rand::random", "take a seed as an argument: a rehearsal must repeat"),
    ("getrandom", "take a seed as an argument: a rehearsal must repeat"),
    ("RandomState", "its order differs from run to run: use BTreeMap, or a Vec"),
];

/// What breaks these rules.
pub(super) fn check(tree: &Tree) -> Vec<String> {
    tree.ending("rs").filter(|file| is_pure(&file.path)).flat_map(check_file).collect()
}

fn is_pure(path: &str) -> bool {
    PURE.iter().any(|name| path.starts_with(&format!("crates/{name}/src/")))
}

fn check_file(file: &File) -> Vec<String> {
    let mut findings = Vec::new();
    for (number, line) in file.lines() {
        let code = line.split("//").next().unwrap_or_default();
        for (word, instead) in FORBIDDEN {
            if holds_word(code, word) {
                findings.push(format!("{}:{number}: {word}: {instead}", file.path));
            }
        }
    }
    findings
}

/// Whether `word` stands in `code` and is not part of a longer name.
fn holds_word(code: &str, word: &str) -> bool {
    let in_name = |c: char| c.is_alphanumeric() || c == '_';
    code.match_indices(word).any(|(at, _)| {
        let before = code[..at].chars().next_back();
        let after = code[at + word.len()..].chars().next();
        !before.is_some_and(in_name) && !after.is_some_and(in_name)
    })
}

#[cfg(test)]
mod tests {
    use super::{check_file, holds_word, is_pure};
    use crate::tidy::tree::File;

    #[test]
    fn a_clock_below_store_is_found() {
        let text =
            "//! Words.\nlet t = std::time::Instant::now(); // wrong\n// Instant is fine here\n";
        let file = File { path: "crates/still/src/x.rs".into(), text: text.into() };
        assert_eq!(check_file(&file).len(), 1);
        assert!(is_pure("crates/still/src/x.rs") && !is_pure("crates/still/tests/x.rs"));
        assert!(is_pure("crates/feeds/src/x.rs"));
        assert!(!is_pure("crates/store/src/log.rs"));
    }

    #[test]
    fn longer_names_are_other_names() {
        assert!(!holds_word("InstantaneousRate::new()", "Instant"));
        assert!(holds_word("use std::time::{Instant};", "Instant"));
    }
}
