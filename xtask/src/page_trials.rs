//! `cargo xtask page-trials`: the page over twelve hours of a run, and its frames while it moves.

use std::path::Path;

use crate::chromium;
use crate::command::{Done, run};
use crate::test::{build_program, install_packages, playwright};

/// Measures, and prints what was measured. The short form of the same is part of `test`.
pub(crate) fn run_page_trials(root: &Path) -> Done {
    let chromium = chromium::find_or_install()?;
    let program = build_program(root)?;
    install_packages(root)?;
    let arguments = ["test", "bounded", "--workers=1"];
    run(playwright(root, &program, &chromium, &arguments).env("MIDDLECUT_LONG", "1"))
}
