//! `cargo xtask screens`: pictures of every page, to be looked at by a person.

use std::path::Path;

use crate::chromium;
use crate::command::{Done, run};
use crate::test::{build_program, install_packages, playwright};

/// Takes the pictures, into `web/test-results/screens`.
pub(crate) fn run_screens(root: &Path) -> Done {
    let chromium = chromium::find_or_install()?;
    let program = build_program(root)?;
    install_packages(root)?;
    // Every test takes pictures of what it looks at; here in every size, by day and in the dark.
    run(playwright(root, &program, &chromium, &["test"]).env("MIDDLECUT_LOOKS", "all"))?;
    println!("pictures: {}", root.join("web/test-results/screens").display());
    Ok(())
}
