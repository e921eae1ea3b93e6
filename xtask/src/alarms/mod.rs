//! `cargo xtask alarms`: the engine's table, the page of the documentation and the cases of the walk,
//! made from the one file of alarm rules.

mod cases;
mod page;
mod page_heard;
mod rules;
mod table;

use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

use crate::command::{ChoreError, Done, cargo, run};
use rules::Rules;

/// The one file.
const RULES: &str = "crates/advise/alarms.toml";
/// The table of the alarms of recordings and rehearsals.
const OF_RUNS: &str = "docs/benchmark/alarms.md";
/// What is made of it.
const TABLE: &str = "crates/advise/src/rules/table.rs";
const PAGE: &str = "docs/alarms.md";
const CASES: &str = "crates/rehearse/tests/all/walk/cases.rs";

/// Writes all that is made of the rules.
pub(crate) fn run_alarms(root: &Path) -> Done {
    for (place, text) in made(root)? {
        let path = root.join(place);
        std::fs::write(&path, text).map_err(|why| ChoreError::File { path, why })?;
    }
    println!("alarms: {TABLE}, {PAGE}, {CASES}");
    Ok(())
}

/// Plays every recording and the rehearsals, and writes the table of their alarms.
pub(crate) fn run_table(root: &Path, folder: &str) -> Done {
    let arguments =
        ["run", "--release", "-p", "workbench", "--", "alarms", folder, "--into", OF_RUNS];
    run(&mut cargo(root, &arguments))
}

/// What of it does not fit the rules.
pub(crate) fn stale(root: &Path) -> Done<Vec<String>> {
    let differs = |(place, text): &(&'static str, String)| {
        std::fs::read_to_string(root.join(place)).ok().as_ref() != Some(text)
    };
    let stale = made(root)?.into_iter().filter(differs);
    Ok(stale
        .map(|(place, _)| format!("{place}: not made from {RULES}; run cargo xtask alarms"))
        .collect())
}

fn made(root: &Path) -> Done<[(&'static str, String); 3]> {
    let path = root.join(RULES);
    let text = std::fs::read_to_string(&path)
        .map_err(|why| ChoreError::File { path: path.clone(), why })?;
    let refused = |what: String| ChoreError::File {
        path: path.clone(),
        why: std::io::Error::new(std::io::ErrorKind::InvalidData, what),
    };
    let rules: Rules = toml::from_str(&text).map_err(|error| refused(error.to_string()))?;
    rules.check().map_err(refused)?;
    Ok([
        (TABLE, formatted(&table::table(&rules), root)?),
        (PAGE, page::page(&rules)),
        (CASES, formatted(&cases::cases(&rules), root)?),
    ])
}

/// As rustfmt writes it.
fn formatted(code: &str, root: &Path) -> Done<String> {
    let not_started = |why| ChoreError::NotStarted { program: "rustfmt".into(), why };
    let mut child = Command::new("rustfmt")
        .args(["--edition", "2024", "--emit", "stdout"])
        .current_dir(root)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .map_err(not_started)?;
    let mut input = child.stdin.take().expect("it was asked for");
    input.write_all(code.as_bytes()).map_err(not_started)?;
    drop(input);
    let done = child.wait_with_output().map_err(not_started)?;
    if !done.status.success() {
        return Err(ChoreError::Failed { line: "rustfmt".into(), status: done.status });
    }
    Ok(String::from_utf8_lossy(&done.stdout).into_owned())
}

#[cfg(test)]
mod tests {
    use super::rules::Rules;

    #[test]
    fn all_that_is_made_of_the_rules_fits_them() {
        let stale = super::stale(&crate::workspace_root()).expect("the rules are sound");
        assert!(stale.is_empty(), "{stale:?}");
    }

    #[test]
    fn a_rule_that_says_not_all_is_refused() {
        let whole = include_str!("../../../crates/advise/alarms.toml");
        let refused = |from: &str, to: &str| {
            assert!(whole.contains(from), "{from}");
            let rules = toml::from_str::<Rules>(&whole.replacen(from, to, 1));
            rules.map_err(|error| error.to_string()).and_then(|rules| rules.check()).is_err()
        };
        assert!(!refused("\n", "\n"));
        assert!(refused("priority = \"critical\"", "priority = \"soon\""));
        assert!(refused("source = \"judgement\"\n", ""));
        assert!(refused("within_s = 60\n", ""), "a critical alarm says how long there is");
        assert!(refused("code = \"boil_over\"", "code = \"pot_pressure\""), "twice");
        assert!(refused("because = \"there is no heat\"", "because = \"\""));
    }
}
