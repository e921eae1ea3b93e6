//! `cargo xtask test`: everything that must pass before a change is done.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use crate::command::{
    ChoreError, Done, cargo, in_web, on_path, output, run, run_into, run_with_retries,
};
use crate::report::Report;
use crate::unchanged::Check;
use crate::{chromium, deny, tidy};

/// The parts in the order in which they run: quick answers first.
const PARTS: [&str; 7] = ["format", "tidy", "deny", "page", "lint", "rust", "browser"];

/// Which part runs behind which where both are chosen. The page wants one core while
/// the lints wait for one another; the browser waits for runs and clocks a third of its
/// time while the Rust tests mostly reckon.
const BEHIND: [(&str, &str); 2] = [("page", "lint"), ("rust", "browser")];

/// How a part runs its programs: with what they print on the screen, or in a file.
type Runs<'a> = &'a dyn Fn(&mut Command) -> Done;

/// Runs the chosen parts, all of them by default.
fn run_parts(root: &Path, chosen: &[&'static str]) -> Done {
    let mut report = Report::new();
    for &name in chosen {
        let pairs = || BEHIND.iter().filter(|(_, front)| chosen.contains(front));
        if pairs().any(|(behind, _)| *behind == name) {
            continue;
        }
        let behind = pairs().find(|(part, front)| *front == name && chosen.contains(part));
        let Some((behind, _)) = behind else {
            report.part(name, || part(root, name, &run));
            continue;
        };
        // What both need, made once and before.
        match name {
            "browser" => report.part("build", || build_program(root).map(drop)),
            _ => report.part("packages", || install_packages(root)),
        }
        let told = target_folder(root)?.join(format!("{behind}.txt"));
        beside(root, (name, behind), &told, &mut report);
    }
    report.finish()
}

/// One part of the check.
fn part(root: &Path, name: &str, runs: Runs<'_>) -> Done {
    match name {
        "format" => runs(&mut cargo(root, &["fmt", "--all", "--check"])),
        "tidy" => tidy::run(root),
        "deny" => deny::run_deny(root),
        "page" => page(root, runs),
        "lint" => lint(root, runs),
        "rust" => rust_tests(root).iter_mut().try_for_each(runs),
        _ => browser(root, runs),
    }
}

/// Reads the options and runs.
pub(crate) fn run_chosen(root: &Path, options: &[&str]) -> Done {
    run_parts(root, &choose(options)?)
}

fn choose(options: &[&str]) -> Done<Vec<&'static str>> {
    let mut only = Vec::new();
    let mut browser = true;
    let mut rest = options.iter();
    while let Some(option) = rest.next() {
        match *option {
            "--no-browser" => browser = false,
            "--only" => {
                let given = rest.next().copied().unwrap_or("--only without a part");
                let part = PARTS.into_iter().find(|part| *part == given);
                only.push(part.ok_or_else(|| ChoreError::Option {
                    given: given.to_owned(),
                    allowed: PARTS.join(", "),
                })?);
            }
            other => {
                let allowed = "--no-browser, --only PART".to_owned();
                return Err(ChoreError::Option { given: other.to_owned(), allowed });
            }
        }
    }
    let wanted =
        |part: &&str| (only.is_empty() || only.contains(part)) && (browser || *part != "browser");
    Ok(PARTS.into_iter().filter(|part| wanted(part)).collect())
}

/// Installs the page's packages where the lock file is newer than what is installed.
pub(crate) fn install_packages(root: &Path) -> Done {
    let changed = |path: PathBuf| std::fs::metadata(path).and_then(|data| data.modified()).ok();
    let locked = changed(root.join("web/package-lock.json"));
    let installed = changed(root.join("web/node_modules/.package-lock.json"));
    if installed.is_some() && installed >= locked {
        return Ok(());
    }
    run_with_retries(|| in_web(root, "npm", &["ci", "--no-audit", "--no-fund"]))
}

fn page(root: &Path, runs: Runs<'_>) -> Done {
    install_packages(root)?;
    let node = output(&mut in_web(root, "node", &["--version"]))?;
    let check = Check::of(root, "page", "web", &node)?;
    if check.passed() {
        println!("page: every file is as it was when this passed");
        return Ok(());
    }
    runs(&mut in_web(root, "npm", &["run", "check"]))?;
    runs(&mut in_web(root, "npm", &["test"]))?;
    check.keep()
}

fn lint(root: &Path, runs: Runs<'_>) -> Done {
    let clippy = |what: &[&str]| {
        let arguments = [&["clippy"], what, &["--quiet", "--", "-D", "warnings"]].concat();
        runs(&mut cargo(root, &arguments))
    };
    clippy(&["--workspace", "--all-targets"])?;
    // No test, so not among all targets; it must compile all the same.
    clippy(&["-p", "middlecut", "--test", "trials"])
}

/// The commands that run all Rust tests.
fn rust_tests(root: &Path) -> Vec<Command> {
    if on_path(&["cargo-nextest"]).is_none() {
        return vec![cargo(root, &["test", "--workspace", "--no-fail-fast", "--quiet"])];
    }
    // Twice as many as there are cores: many tests wait for devices and clocks.
    let at_once = 2 * std::thread::available_parallelism().map_or(2, usize::from);
    let at_once = format!("--test-threads={at_once}");
    vec![
        cargo(root, &["nextest", "run", "--workspace", "--no-fail-fast", &at_once]),
        cargo(root, &["test", "--workspace", "--doc", "--quiet"]),
    ]
}

/// Two parts at once. What is in front has the screen, and comes first where both want a core; what
/// the one behind it printed comes when both are over.
fn beside(
    root: &Path,
    (front, behind): (&'static str, &'static str),
    told: &Path,
    report: &mut Report,
) {
    println!("\n== {front}, with {behind} behind it");
    let timed = |name: &str, runs: Runs<'_>| {
        let started = Instant::now();
        let done = part(root, name, runs);
        (started.elapsed(), done)
    };
    let (second, first) = std::thread::scope(|scope| {
        let second = scope.spawn(|| {
            let begun = start_anew(told);
            begun.map(|()| timed(behind, &|command| run_into(told, &mut later(command))))
        });
        let first = timed(front, &run);
        (second.join().expect("a part reports and does not panic"), first)
    });
    println!("\n== {behind}\n{}", std::fs::read_to_string(told).unwrap_or_default());
    let (took, done) = second.unwrap_or_else(|error| (Duration::ZERO, Err(error)));
    report.add(behind, took, &done);
    report.add(front, first.0, &first.1);
}

/// An empty file in a folder that is there.
fn start_anew(file: &Path) -> Done {
    let lost = |why| ChoreError::File { path: file.to_owned(), why };
    file.parent().map_or(Ok(()), std::fs::create_dir_all).map_err(lost)?;
    std::fs::write(file, "").map_err(lost)
}

/// The command with less claim to a core, where the machine knows how.
fn later(command: &Command) -> Command {
    let nice: &[&str] = on_path(&["nice"]).map_or(&[], |_| &["nice", "-n", "10"]);
    let words = nice.iter().map(OsStr::new).chain([command.get_program()]);
    let mut words = words.chain(command.get_args());
    let mut later = Command::new(words.next().expect("a command has a program"));
    later.args(words);
    if let Some(folder) = command.get_current_dir() {
        later.current_dir(folder);
    }
    for (name, value) in command.get_envs() {
        match value {
            Some(value) => later.env(name, value),
            None => later.env_remove(name),
        };
    }
    later
}

fn browser(root: &Path, runs: Runs<'_>) -> Done {
    let chromium = chromium::find_or_install()?;
    let program = build_program(root)?;
    install_packages(root)?;
    runs(&mut playwright(root, &program, &chromium, &["test"]))
}

/// The page's browser tests, told which program and which browser to drive.
pub(crate) fn playwright(
    root: &Path,
    program: &Path,
    chromium: &Path,
    arguments: &[&str],
) -> Command {
    let mut command = in_web(root, "npx", &["--no-install", "playwright"]);
    command.args(arguments).env("MIDDLECUT_BIN", program).env("MIDDLECUT_CHROMIUM", chromium);
    command
}

/// Builds `middlecut` with the very artifacts the Rust tests use, so that nothing is built twice.
pub(crate) fn build_program(root: &Path) -> Done<PathBuf> {
    run(&mut cargo(root, &["test", "--workspace", "--no-run", "--quiet"]))?;
    let name = format!("middlecut{}", std::env::consts::EXE_SUFFIX);
    Ok(target_folder(root)?.join("debug").join(name))
}

/// Where cargo puts what it builds.
pub(crate) fn target_folder(root: &Path) -> Done<PathBuf> {
    let metadata = output(&mut cargo(root, &["metadata", "--no-deps", "--format-version", "1"]))?;
    let folder = json_string(&metadata, "target_directory").unwrap_or_else(|| "target".to_owned());
    Ok(root.join(folder))
}

/// The value of a string key in a flat piece of JSON; enough for one path, without a parser.
fn json_string(text: &str, key: &str) -> Option<String> {
    let after = text.split_once(&format!("\"{key}\":\""))?.1;
    Some(after.split_once('"')?.0.replace("\\\\", "\\"))
}

#[cfg(test)]
mod tests {
    use super::{choose, json_string};

    #[test]
    fn all_parts_run_unless_told_otherwise() {
        assert_eq!(choose(&[]).unwrap().len(), 7);
        assert!(!choose(&["--no-browser"]).unwrap().contains(&"browser"));
        assert_eq!(choose(&["--only", "rust", "--only", "tidy"]).unwrap(), ["tidy", "rust"]);
        assert!(choose(&["--only", "everything"]).is_err());
        assert!(choose(&["--only"]).is_err());
        assert!(choose(&["--fast"]).is_err());
    }

    #[test]
    fn a_path_is_read_out_of_cargo_metadata() {
        let text = r#"{"packages":[],"target_directory":"/tmp/here","version":1}"#;
        assert_eq!(json_string(text, "target_directory").as_deref(), Some("/tmp/here"));
        assert_eq!(json_string(text, "absent"), None);
    }
}
