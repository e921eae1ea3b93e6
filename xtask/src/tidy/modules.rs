//! Every source file opens with a sentence, fits a bound, and switches lints off with a reason.

use super::tree::{File, Tree};

/// Most lines of a source file.
const LINES_MAX: usize = 400;
/// Fewest characters of a sentence that says something.
const SENTENCE_MIN: usize = 12;

/// Whether a file is made by a chore and not written by anybody.
fn is_made(file: &File) -> bool {
    let first = file.text.lines().next().unwrap_or_default();
    file.path.ends_with(".d.ts") || first.contains("made by `cargo xtask ")
}

/// What breaks these rules.
pub(super) fn check(tree: &Tree) -> Vec<String> {
    let mut findings = Vec::new();
    for file in &tree.files {
        if !(file.is("rs") || file.is("ts") || file.is("svelte") || file.is("css")) {
            continue;
        }
        let lines = file.text.lines().count();
        if lines > LINES_MAX && !is_made(file) {
            findings.push(format!("{}: {lines} lines; split above {LINES_MAX}", file.path));
        }
    }
    for file in tree.ending("rs") {
        if !opens_with_sentence(&file.text) {
            let rule = "open with one `//!` sentence that says what this module owns";
            findings.push(format!("{}:1: {rule}", file.path));
        }
        findings.extend(silenced(file));
    }
    findings
}

/// The first paragraph of the module's documentation is a sentence.
fn opens_with_sentence(text: &str) -> bool {
    let paragraph: Vec<&str> = text
        .lines()
        .map_while(|line| line.strip_prefix("//!"))
        .map(str::trim)
        .take_while(|line| !line.is_empty())
        .collect();
    let sentence = paragraph.join(" ");
    sentence.len() >= SENTENCE_MIN && sentence.contains('.') && sentence.ends_with(['.', '!', '?'])
}

fn silenced(file: &File) -> impl Iterator<Item = String> {
    let attribute = concat!("[al", "low(");
    file.lines()
        .filter(move |(_, line)| line.trim_start().starts_with('#') && line.contains(attribute))
        .map(|(number, _)| format!("{}:{number}: use #[expect(.., reason = \"..\")]", file.path))
}

#[cfg(test)]
mod tests {
    use super::opens_with_sentence;

    #[test]
    fn a_module_sentence_is_a_sentence() {
        assert!(opens_with_sentence("//! Owns the one thing and\n//! nothing else.\n\nuse x;\n"));
        assert!(!opens_with_sentence("//! (skeleton)\n"));
        assert!(!opens_with_sentence("use x;\n//! Too late to say what this is.\n"));
    }
}
