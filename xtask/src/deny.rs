//! What deny.toml says about the crates that are built in: by cargo-deny where it is installed, else
//! licences and sources, read from `cargo metadata`.

use std::path::Path;

use serde::Deserialize;
use spdx::{Expression, ParseMode};

use crate::command::{ChoreError, Done, cargo, on_path, output, run};

/// Where every crate from outside comes from.
const REGISTRY: &str = "registry+https://github.com/rust-lang/crates.io-index";

/// What of deny.toml is read.
#[derive(Debug, Deserialize)]
struct Rules {
    licenses: Licenses,
}

#[derive(Debug, Deserialize)]
struct Licenses {
    allow: Vec<String>,
}

#[derive(Debug, Deserialize)]
struct Metadata {
    packages: Vec<Package>,
}

#[derive(Debug, Deserialize)]
struct Package {
    name: String,
    license: Option<String>,
    source: Option<String>,
}

/// Checks the tree of dependencies.
pub(crate) fn run_deny(root: &Path) -> Done {
    if on_path(&["cargo-deny"]).is_some() {
        return run(&mut cargo(root, &["deny", "check"]));
    }
    let path = root.join("deny.toml");
    let unreadable = |why: String| ChoreError::Untidy { findings: vec![why] };
    let text = std::fs::read_to_string(&path).map_err(|why| ChoreError::File { path, why })?;
    let rules: Rules = toml::from_str(&text).map_err(|why| unreadable(why.to_string()))?;
    let metadata =
        output(&mut cargo(root, &["metadata", "--format-version", "1", "--all-features"]))?;
    let metadata: Metadata =
        serde_json::from_str(&metadata).map_err(|why| unreadable(why.to_string()))?;
    let findings: Vec<String> = metadata
        .packages
        .iter()
        .filter_map(|package| refused(package, &rules.licenses.allow))
        .collect();
    if findings.is_empty() {
        println!(
            "deny: {} packages; cargo-deny is not installed: advisories not read",
            metadata.packages.len()
        );
        Ok(())
    } else {
        Err(ChoreError::Untidy { findings })
    }
}

/// Why a package may not be built in.
fn refused(package: &Package, allowed: &[String]) -> Option<String> {
    let Package { name, license, source } = package;
    if source.as_deref().is_some_and(|source| source != REGISTRY) {
        return Some(format!("{name}: from {}", source.as_deref().unwrap_or_default()));
    }
    let license = license.as_deref().unwrap_or_default();
    let may = Expression::parse_mode(license, ParseMode::LAX)
        .is_ok_and(|expression| expression.evaluate(|one| allowed.contains(&one.to_string())));
    (!may).then(|| format!("{name}: licence \"{license}\" is not allowed in deny.toml"))
}

#[cfg(test)]
mod tests {
    use super::{Package, REGISTRY, refused};

    #[test]
    fn licences_and_sources_outside_the_list_are_refused() {
        let allowed = ["MIT", "Apache-2.0 WITH LLVM-exception", "Unicode-3.0"].map(str::to_owned);
        let of = |license: Option<&str>, source: &str| {
            let package = Package {
                name: "one".to_owned(),
                license: license.map(str::to_owned),
                source: Some(source.to_owned()),
            };
            refused(&package, &allowed).is_none()
        };
        assert!(of(Some("MIT OR GPL-3.0-only"), REGISTRY));
        assert!(of(Some("MIT/Apache-2.0"), REGISTRY));
        assert!(of(Some("(GPL-3.0-only OR MIT) AND Unicode-3.0"), REGISTRY));
        assert!(of(Some("Apache-2.0 WITH LLVM-exception"), REGISTRY));
        assert!(!of(Some("Apache-2.0"), REGISTRY));
        assert!(!of(Some("MIT AND GPL-3.0-only"), REGISTRY));
        assert!(!of(None, REGISTRY));
        assert!(!of(Some("MIT"), "git+https://example.org/one"));
    }
}
