//! Links between our own documents lead to files that exist.

use std::path::Path;

use super::tree::{File, Tree};

/// Links that lead nowhere.
pub(super) fn check(root: &Path, tree: &Tree) -> Vec<String> {
    tree.ending("md").flat_map(|file| check_file(root, file)).collect()
}

fn check_file(root: &Path, file: &File) -> Vec<String> {
    let folder = root.join(&file.path);
    let folder = folder.parent().unwrap_or(root);
    let mut findings = Vec::new();
    for (number, line) in file.lines() {
        for target in targets(line) {
            let path = target.split('#').next().unwrap_or_default();
            if !path.is_empty() && !path.contains("://") && !folder.join(path).exists() {
                findings.push(format!("{}:{number}: {path} does not exist", file.path));
            }
        }
    }
    findings
}

/// What stands in the round brackets of `[text](target)`.
fn targets(line: &str) -> impl Iterator<Item = &str> {
    line.split("](").skip(1).filter_map(|rest| rest.split_once(')').map(|(target, _)| target))
}

#[cfg(test)]
mod tests {
    use super::targets;

    #[test]
    fn links_are_found_in_a_line() {
        let line = "See [the map](ARCHITECTURE.md#map) and [words](GLOSSARY.md).";
        assert_eq!(targets(line).collect::<Vec<_>>(), ["ARCHITECTURE.md#map", "GLOSSARY.md"]);
    }
}
