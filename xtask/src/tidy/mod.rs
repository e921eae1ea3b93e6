//! `cargo xtask tidy`: rules of the tree that no compiler checks; also a Rust test.

mod circles;
mod edges;
mod links;
mod modules;
mod paths;
mod pure;
mod tree;
mod way;
mod words;

use std::path::Path;

use crate::command::{ChoreError, Done};
pub(crate) use tree::{File, Tree};

/// Reads the tree once and applies every rule; all findings come out together.
pub(crate) fn run(root: &Path) -> Done {
    let tree = Tree::read(root)?;
    let mut findings = Vec::new();
    findings.extend(modules::check(&tree));
    findings.extend(edges::check(&tree));
    findings.extend(circles::check(&tree));
    findings.extend(pure::check(&tree));
    findings.extend(words::check(&tree));
    findings.extend(links::check(root, &tree));
    findings.extend(way::check(root));
    findings.extend(crate::alarms::stale(root)?);
    if findings.is_empty() {
        println!("tidy: {} files", tree.files.len());
        Ok(())
    } else {
        Err(ChoreError::Untidy { findings })
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_tree_is_tidy() {
        if let Err(error) = super::run(&crate::workspace_root()) {
            panic!("{error}");
        }
    }
}
