//! Words that must not land in source code: work left unfinished, tests that do not run.

use super::tree::{File, Tree};

/// Pieces that together spell a word, so that this file does not hold it.
type Spelled = &'static [&'static str];

/// Never in source code.
const NOT_IN_CODE: [(Spelled, &str); 6] = [
    (&["to", "do!("], "finish it, or leave it out"),
    (&["unim", "plemented!("], "finish it, or leave it out"),
    (&["FIX", "ME"], "finish it, or open an issue"),
    (&["#[ign", "ore"], "a test that does not run proves nothing"),
    (&["test.fix", "me"], "a test that does not run proves nothing"),
    (&["test.on", "ly("], "it hides every other test"),
];

/// What breaks these rules.
pub(super) fn check(tree: &Tree) -> Vec<String> {
    let mut findings = Vec::new();
    for file in &tree.files {
        if file.is("rs") || file.is("ts") || file.is("svelte") {
            findings.extend(find(file, &NOT_IN_CODE));
        }
    }
    findings
}

fn find(file: &File, rules: &[(Spelled, &str)]) -> Vec<String> {
    let mut findings = Vec::new();
    for (pieces, why) in rules {
        let word = pieces.concat();
        for (number, line) in file.lines() {
            if line.contains(&word) {
                findings.push(format!("{}:{number}: {word}: {why}", file.path));
            }
        }
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::{NOT_IN_CODE, find};
    use crate::tidy::tree::File;

    #[test]
    fn every_word_is_found_where_it_stands() {
        for (pieces, _) in NOT_IN_CODE {
            let text = format!("one\ntwo {} three\n", pieces.concat());
            let found = find(&File { path: "a.rs".into(), text }, &NOT_IN_CODE);
            assert_eq!(found.len(), 1, "{pieces:?}");
            assert!(found[0].starts_with("a.rs:2: "), "{found:?}");
        }
    }
}
