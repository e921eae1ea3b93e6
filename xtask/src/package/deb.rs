//! A Debian package from what lies in `packaging/` and the built program.

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::Command;

use super::machine::{Machine, missing};
use crate::command::{ChoreError, Done, output, run};

/// Scripts that a package runs.
const SCRIPTS: [&str; 3] = ["postinst", "prerm", "postrm"];
/// Files of the package: where they lie in the tree, and where they go.
const FILES: [(&str, &str); 6] = [
    ("packaging/middlecut.service", "lib/systemd/system/middlecut.service"),
    ("README.md", "usr/share/doc/middlecut/README.md"),
    ("docs/feeds.md", "usr/share/doc/middlecut/feeds.md"),
    ("docs/safety.md", "usr/share/doc/middlecut/safety.md"),
    ("LICENSE", "usr/share/doc/middlecut/copyright"),
    ("CHANGELOG.md", "usr/share/doc/middlecut/changelog.md"),
];

/// The version that the program goes by.
pub(super) fn version(root: &Path) -> Done<String> {
    let path = root.join("Cargo.toml");
    let text =
        fs::read_to_string(&path).map_err(|why| ChoreError::File { path: path.clone(), why })?;
    let table: toml::Table = text.parse().map_err(|error: toml::de::Error| {
        let why = std::io::Error::new(std::io::ErrorKind::InvalidData, error.to_string());
        ChoreError::File { path: path.clone(), why }
    })?;
    let version = table.get("workspace").and_then(|found| found.get("package"));
    let version = version.and_then(|found| found.get("version")).and_then(toml::Value::as_str);
    version.map(str::to_owned).ok_or_else(|| ChoreError::File { path, why: missing("no version") })
}

/// Copies a file into a tree, with its rights.
pub(super) fn lay(from: &Path, to: &Path, rights: u32) -> Done {
    let file = |why| ChoreError::File { path: to.to_owned(), why };
    if let Some(folder) = to.parent() {
        fs::create_dir_all(folder).map_err(file)?;
    }
    fs::copy(from, to).map_err(file)?;
    fs::set_permissions(to, fs::Permissions::from_mode(rights)).map_err(file)
}

/// The oldest library of the system that the program runs on, as it asks for it.
fn libc(machine: Machine, program: &Path) -> Done<String> {
    let asked = output(Command::new(machine.tool("objdump")).arg("-T").arg(program))?;
    let versions = asked.split("GLIBC_").skip(1).filter_map(|rest| {
        let end = rest.find(|sign: char| !sign.is_ascii_digit() && sign != '.')?;
        let mut parts = rest[..end].split('.').map(|part| part.parse::<u32>().unwrap_or(0));
        Some((parts.next()?, parts.next()?))
    });
    let (major, minor) = versions.max().unwrap_or((2, 0));
    Ok(format!("{major}.{minor}"))
}

/// Makes the package; gives its file.
pub(super) fn made(root: &Path, machine: Machine, program: &Path, to: &Path) -> Done<PathBuf> {
    let version = version(root)?;
    let tree = to.join(format!("tree-{}", machine.debian));
    let file = |why| ChoreError::File { path: tree.clone(), why };
    if tree.exists() {
        fs::remove_dir_all(&tree).map_err(file)?;
    }
    lay(program, &tree.join("usr/bin/middlecut"), 0o755)?;
    for (from, at) in FILES {
        lay(&root.join(from), &tree.join(at), 0o644)?;
    }
    for name in SCRIPTS {
        lay(&root.join("packaging").join(name), &tree.join("DEBIAN").join(name), 0o755)?;
    }
    let size_kb = fs::metadata(program).map_err(file)?.len() / 1024 + 1;
    let control = fs::read_to_string(root.join("packaging/control")).map_err(file)?;
    let control = control
        .replace("@VERSION@", &version)
        .replace("@ARCHITECTURE@", machine.debian)
        .replace("@SIZE@", &size_kb.to_string())
        .replace("@LIBC@", &libc(machine, program)?);
    fs::write(tree.join("DEBIAN/control"), control).map_err(file)?;
    let deb = to.join(format!("middlecut_{version}_{}.deb", machine.debian));
    run(Command::new("dpkg-deb").args(["--root-owner-group", "--build"]).arg(&tree).arg(&deb))?;
    Ok(deb)
}
