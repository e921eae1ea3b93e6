//! A plain archive: the program with what must be read beside it, for whoever has no package manager.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use super::deb::{lay, version};
use super::machine::Machine;
use crate::command::{ChoreError, Done, run};

/// What lies in it beside the program.
const FILES: [&str; 7] = [
    "README.md",
    "CHANGELOG.md",
    "LICENSE",
    "LICENSE-APACHE",
    "LICENSE-MIT",
    "docs/feeds.md",
    "docs/safety.md",
];

/// Makes the archive; gives its file.
pub(super) fn made(root: &Path, machine: Machine, program: &Path, to: &Path) -> Done<PathBuf> {
    let name = format!("middlecut-{}-{}", version(root)?, machine.debian);
    let folder = to.join(&name);
    if folder.exists() {
        fs::remove_dir_all(&folder)
            .map_err(|why| ChoreError::File { path: folder.clone(), why })?;
    }
    lay(program, &folder.join("middlecut"), 0o755)?;
    for file in FILES {
        lay(&root.join(file), &folder.join(file), 0o644)?;
    }
    lay(&root.join("packaging/middlecut.service"), &folder.join("middlecut.service"), 0o644)?;
    let archive = to.join(format!("{name}.tar.gz"));
    let mut tar = Command::new("tar");
    tar.arg("--create").arg("--gzip").arg("--owner=0").arg("--group=0").arg("--numeric-owner");
    run(tar.arg("--file").arg(&archive).arg("--directory").arg(to).arg(&name))?;
    Ok(archive)
}
