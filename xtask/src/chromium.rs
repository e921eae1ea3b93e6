//! Finds the browser that tests drive, and installs it on a Debian machine where we are root.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::command::{ChoreError, Done, on_path, output, run_with_retries};

/// Names the browser goes by; the shell without a window is the quicker one.
const NAMES: [&str; 5] = [
    "chromium-headless-shell",
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
];

/// The browser's path, installing it where that is possible.
pub(crate) fn find_or_install() -> Done<PathBuf> {
    if let Some(named) = std::env::var_os("MIDDLECUT_CHROMIUM") {
        let path = PathBuf::from(named);
        let why = format!("MIDDLECUT_CHROMIUM names {}, which is no file", path.display());
        return if path.is_file() { Ok(path) } else { Err(ChoreError::NoBrowser { why }) };
    }
    if let Some(path) = on_path(&NAMES) {
        return Ok(path);
    }
    if !is_debian() {
        let why = "no Chromium on the path, and this is not Debian".into();
        return Err(ChoreError::NoBrowser { why });
    }
    if !is_root() {
        let why = "no Chromium on the path, and only root may install it".into();
        return Err(ChoreError::NoBrowser { why });
    }
    run_with_retries(|| apt_get(&["update"]))?;
    // The shell is a package of its own only in newer releases.
    install(NAMES[0]).or_else(|_| install(NAMES[1]))?;
    on_path(&NAMES).ok_or_else(|| ChoreError::NoBrowser {
        why: "Chromium was installed but is not on the path".into(),
    })
}

fn install(package: &str) -> Done {
    run_with_retries(|| apt_get(&["install", "--yes", "--no-install-recommends", package]))
}

fn apt_get(arguments: &[&str]) -> Command {
    let mut command = Command::new("apt-get");
    command.env("DEBIAN_FRONTEND", "noninteractive").arg("--quiet").args(arguments);
    command
}

/// Debian itself: its derivatives may hold an empty package of that name.
fn is_debian() -> bool {
    std::fs::read_to_string(Path::new("/etc/os-release"))
        .is_ok_and(|text| text.lines().any(|line| line == "ID=debian"))
}

fn is_root() -> bool {
    output(Command::new("id").arg("-u")).is_ok_and(|id| id.trim() == "0")
}
