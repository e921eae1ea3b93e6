//! `cargo xtask page-trials`: the page on a desk, a phone and a tablet, by each address: pairing, two
//! people, a heard alarm, a dropped stream, twelve hours of a run, its frames while it moves.

use std::path::Path;

use crate::chromium;
use crate::command::{Done, run};
use crate::test::{build_program, install_packages, playwright};

/// Measures, and prints what was measured. The short form of the same is part of `test`.
pub(crate) fn run_page_trials(root: &Path) -> Done {
    let chromium = chromium::find_or_install()?;
    let program = build_program(root)?;
    install_packages(root)?;
    // One at a time, for times are measured. A table of what was seen stands at the end.
    let arguments = ["test", "bounded", "access", "matrix", "trials", "--workers=1"];
    run(playwright(root, &program, &chromium, &arguments).env("MIDDLECUT_LONG", "1"))
}
