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
    // The tests of the pages run in every size and light, and take a picture of each.
    run(&mut playwright(root, &program, &chromium, &["test", "pages.spec"]))?;
    println!("pictures: {}", root.join("web/test-results/screens").display());
    Ok(())
}
