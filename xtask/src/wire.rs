//! `cargo xtask wire`: the API document and the page's types, both written from the server.

use std::path::Path;

use crate::command::{ChoreError, Done, cargo, in_web, output, run};
use crate::test::install_packages;

/// Writes `web/openapi.json`, then the types that follow from it.
pub(crate) fn run_wire(root: &Path) -> Done {
    let document =
        output(&mut cargo(root, &["run", "--quiet", "-p", "middlecut", "--", "openapi"]))?;
    let path = root.join("web/openapi.json");
    std::fs::write(&path, document).map_err(|why| ChoreError::File { path, why })?;
    install_packages(root)?;
    run(&mut in_web(root, "npm", &["run", "wire"]))
}
