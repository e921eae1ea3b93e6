//! `cargo xtask constants`: every number that was chosen in the model and the advice, with what its
//! comment says of it, as a page of the documentation.

use std::fmt::Write as _;
use std::path::Path;

use crate::command::{ChoreError, Done};
use crate::tidy::{File, Tree};

/// The crates whose numbers are listed.
const CRATES: [&str; 8] =
    ["ferment", "still", "sense", "estimate", "finishing", "advise", "rehearse", "feeds"];
/// Where the page stands.
const PAGE: &str = "docs/model/constants.md";
/// Words by which a comment says where a number comes from.
const SOURCES: [&str; 11] = [
    "source",
    "from memory",
    "handbook",
    "common practice",
    "et al",
    "ISO",
    "OIML",
    "NIST",
    "eq.",
    "Kister",
    "R 22",
];

/// One number.
#[derive(Debug, PartialEq, Eq)]
struct Constant {
    name: String,
    value: String,
    words: String,
}

/// Where a number comes from, in a word: what its comment says, else it was judged.
fn origin(words: &str) -> &'static str {
    if words.contains("definition") {
        "definition"
    } else if SOURCES.iter().any(|word| words.contains(word)) {
        "as said"
    } else {
        "judgement"
    }
}

/// Writes the page and says how many numbers rest on judgement.
pub(crate) fn run_constants(root: &Path) -> Done {
    let tree = Tree::read(root)?;
    let (text, judged, all) = page(&tree);
    let path = root.join(PAGE);
    std::fs::write(&path, text).map_err(|why| ChoreError::File { path, why })?;
    println!("constants: {all}, of which {judged} rest on judgement");
    Ok(())
}

fn page(tree: &Tree) -> (String, usize, usize) {
    let mut text = String::from(
        "# Constants\n\nWritten by `cargo xtask constants` from the comments in the code; changes by \
         hand are lost. *As said*: the comment names what the number comes from. *Judgement*: \
         chosen by us; no publication stands behind \
         it.\n",
    );
    let (mut judged, mut all) = (0, 0);
    for name in CRATES {
        let _ = write!(
            text,
            "\n## {name}\n\n| where | constant | value | what | from |\n|---|---|---|---|---|\n"
        );
        let folder = format!("crates/{name}/src/");
        for file in tree.ending("rs") {
            let Some(place) = file.path.strip_prefix(&folder) else { continue };
            for Constant { name, value, words } in constants(file) {
                let from = origin(&words);
                all += 1;
                judged += usize::from(from == "judgement");
                let words = words.replace('|', "\\|");
                let _ = writeln!(text, "| {place} | `{name}` | {value} | {words} | {from} |");
            }
        }
    }
    (text, judged, all)
}

/// The constants of a file that hold a number; one right under another without words of its own
/// has those of the other.
fn constants(file: &File) -> Vec<Constant> {
    let code = file.text.split("#[cfg(test)]\nmod ").next().unwrap_or_default();
    let (mut found, mut words) = (Vec::<Constant>::new(), Vec::new());
    let mut follows = false;
    for line in code.lines().map(str::trim) {
        if let Some(said) = line.strip_prefix("///") {
            words.push(said.trim());
            continue;
        }
        let rest = ["pub(crate) ", "pub(super) ", "pub "]
            .iter()
            .find_map(|before| line.strip_prefix(before))
            .unwrap_or(line);
        let constant = rest.strip_prefix("const ").and_then(number);
        let is_constant = constant.is_some();
        if let Some((name, value)) = constant {
            let above = found.last().filter(|_| follows && words.is_empty());
            let words = above.map_or_else(|| words.join(" "), |above| above.words.clone());
            found.push(Constant { name, value, words });
        }
        follows = is_constant;
        words.clear();
    }
    found
}

/// Name and value of `NAME: type = number;`.
fn number(rest: &str) -> Option<(String, String)> {
    let (name, rest) = rest.split_once(':')?;
    let (_, value) = rest.split_once(" = ")?;
    let value = value.trim_end_matches(';');
    let is_number = value.starts_with(|c: char| c.is_ascii_digit() || c == '-' || c == '[');
    (is_number && value.contains(|c: char| c.is_ascii_digit()))
        .then(|| (name.to_owned(), value.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::{Constant, constants};
    use crate::tidy::File;

    #[test]
    fn numbers_are_listed_with_what_is_said_of_them() {
        let text = "//! Words.\n\n/// Longest wait,\n/// s (judgement).\npub(super) const WAIT_S: f64 = 4.5;\n\
                    const LATER_S: f64 = 9.0;\nconst NAME: &str = \"x\";\n#[cfg(test)]\nmod tests { const A: u8 = 1; }\n";
        let file = File { path: "crates/still/src/x.rs".into(), text: text.into() };
        let expected = |name: &str, value: &str| Constant {
            name: name.into(),
            value: value.into(),
            words: "Longest wait, s (judgement).".into(),
        };
        assert_eq!(constants(&file), [expected("WAIT_S", "4.5"), expected("LATER_S", "9.0")]);
    }
}
