//! Crates depend one way only: each on crates of lower levels, tests included.

use super::tree::Tree;

/// Our crates by level; an edge must go to a lower level.
const LEVELS: [&[&str]; 13] = [
    &["quantities", "numerics"],
    &["alcoholometry", "thermo"],
    &["still", "account", "ferment"],
    &["sense"],
    &["estimate", "finishing"],
    &["advise"],
    &["rehearse"],
    &["store"],
    &["feeds"],
    &["ui"],
    &["server"],
    &["workbench"],
    &["middlecut"],
];
/// Below this level a crate is pure: only these outside crates may be used.
const PURE_BELOW: usize = 7;
const PURE_MAY_USE: [&str; 6] = ["serde", "thiserror", "pulp", "nalgebra", "rand", "rand_distr"];

/// What breaks these rules.
pub(super) fn check(tree: &Tree) -> Vec<String> {
    let mut findings = Vec::new();
    for file in &tree.files {
        let is_crate = file.path.starts_with("crates/") || file.path.starts_with("xtask/");
        if is_crate && file.path.ends_with("/Cargo.toml") {
            match file.text.parse::<toml::Table>() {
                Ok(manifest) => findings.extend(
                    check_manifest(&manifest).into_iter().map(|f| format!("{}: {f}", file.path)),
                ),
                Err(error) => findings.push(format!("{}: {}", file.path, error.message())),
            }
        }
    }
    findings
}

fn level_of(name: &str) -> Option<usize> {
    LEVELS.iter().position(|names| names.contains(&name))
}

fn check_manifest(manifest: &toml::Table) -> Vec<String> {
    let package = manifest.get("package").and_then(|package| package.get("name"));
    let name = package.and_then(toml::Value::as_str).unwrap_or_default();
    let own_level = level_of(name);
    let mut findings = Vec::new();
    for (section, dependency) in dependencies(manifest) {
        let other_level = level_of(&dependency);
        match (own_level, other_level) {
            (None, Some(_)) => {
                findings.push(format!("{section}: {name} must not use {dependency}"));
            }
            (Some(own), Some(other)) if other >= own => findings.push(format!(
                "{section}: {name} must not use {dependency}, which does not stand below it"
            )),
            (_, Some(_)) if dependency == "ui" && name != "server" => {
                findings.push(format!("{section}: only server may use ui, not {name}"));
            }
            (Some(_), Some(_)) if name == "ui" => {
                findings.push(format!("{section}: ui uses none of our crates, not {dependency}"));
            }
            (Some(own), None)
                if own < PURE_BELOW
                    && section == "dependencies"
                    && !PURE_MAY_USE.contains(&dependency.as_str()) =>
            {
                findings.push(format!(
                    "{section}: {name} is pure and may use {}, not {dependency}",
                    PURE_MAY_USE.join(", ")
                ));
            }
            _ => {}
        }
    }
    if own_level.is_none() && name != "xtask" {
        findings.push(format!("{name} has no level: name it in xtask/src/tidy/edges.rs"));
    }
    findings
}

/// Every dependency with the section it stands in, those of single platforms too.
fn dependencies(manifest: &toml::Table) -> Vec<(&'static str, String)> {
    const SECTIONS: [&str; 3] = ["dependencies", "dev-dependencies", "build-dependencies"];
    let platforms = manifest.get("target").and_then(toml::Value::as_table);
    let of_platforms =
        platforms.into_iter().flat_map(|table| table.values()).filter_map(toml::Value::as_table);
    let mut found = Vec::new();
    for table in std::iter::once(manifest).chain(of_platforms) {
        for section in SECTIONS {
            let listed = table.get(section).and_then(toml::Value::as_table);
            for (key, value) in listed.into_iter().flatten() {
                let renamed = value.get("package").and_then(toml::Value::as_str);
                found.push((section, renamed.unwrap_or(key).to_owned()));
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::check_manifest;

    fn check(name: &str, rest: &str) -> Vec<String> {
        check_manifest(&format!("package.name = \"{name}\"\n{rest}").parse().unwrap())
    }

    #[test]
    fn edges_go_down_only() {
        assert!(check("still", "dependencies.thermo.workspace = true").is_empty());
        assert_eq!(check("still", "dependencies.advise.workspace = true").len(), 1);
        assert_eq!(check("thermo", "dev-dependencies.still.workspace = true").len(), 1);
        assert_eq!(check("thermo", "dependencies.alcoholometry.workspace = true").len(), 1);
        assert_eq!(check("thermo", "target.unix.dependencies.store.workspace = true").len(), 1);
        assert_eq!(check("xtask", "dependencies.server.workspace = true").len(), 1);
        assert_eq!(check("middlecut", "dependencies.x = { package = \"ui\" }").len(), 1);
        assert_eq!(check("ui", "dependencies.store.workspace = true").len(), 1);
        assert_eq!(check("newcomer", "").len(), 1);
    }

    #[test]
    fn pure_crates_use_few_others() {
        assert!(check("advise", "dependencies.serde.workspace = true").is_empty());
        assert_eq!(check("advise", "dependencies.tokio.workspace = true").len(), 1);
        assert!(check("advise", "dev-dependencies.proptest.workspace = true").is_empty());
        assert!(check("store", "dependencies.jiff.workspace = true").is_empty());
    }
}
