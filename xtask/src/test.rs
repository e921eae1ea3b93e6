//! `cargo xtask test`: everything that must pass before a change is done.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

use crate::command::{
    ChoreError, Done, cargo, in_web, on_path, output, run, run_into, run_with_retries,
};
use crate::report::Report;
use crate::unchanged::Check;
use crate::{chromium, deny, tidy};

/// The parts in the order in which they run: quick answers first.
const PARTS: [&str; 7] = ["format", "tidy", "deny", "page", "lint", "rust", "browser"];

/// Runs the chosen parts, all of them by default.
fn run_parts(root: &Path, chosen: &[&'static str]) -> Done {
    let mut report = Report::new();
    let together = chosen.contains(&"rust") && chosen.contains(&"browser");
    for &name in chosen {
        match name {
            "rust" if together => continue,
            "browser" if together => {
                report.part("build", || build_program(root).map(drop));
                beside(root, &target_folder(root)?.join("rust-tests.txt"), &mut report);
                continue;
            }
            _ => {}
        }
        report.part(name, || match name {
            "format" => run(&mut cargo(root, &["fmt", "--all", "--check"])),
            "tidy" => tidy::run(root),
            "deny" => deny::run_deny(root),
            "page" => page(root),
            "lint" => lint(root),
            "rust" => rust(root),
            _ => browser(root),
        });
    }
    report.finish()
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

fn page(root: &Path) -> Done {
    install_packages(root)?;
    let node = output(&mut in_web(root, "node", &["--version"]))?;
    let check = Check::of(root, "page", "web", &node)?;
    if check.passed() {
        println!("every file is as it was when this passed");
        return Ok(());
    }
    run(&mut in_web(root, "npm", &["run", "check"]))?;
    run(&mut in_web(root, "npm", &["test"]))?;
    check.keep()
}

fn lint(root: &Path) -> Done {
    let clippy = |what: &[&str]| {
        let arguments = [&["clippy"], what, &["--quiet", "--", "-D", "warnings"]].concat();
        run(&mut cargo(root, &arguments))
    };
    clippy(&["--workspace", "--all-targets"])?;
    // No test, so not among all targets; it must compile all the same.
    clippy(&["-p", "middlecut", "--test", "trials"])
}

fn rust(root: &Path) -> Done {
    rust_tests(root).iter_mut().try_for_each(run)
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

/// The Rust tests behind the browser's: those mostly reckon, these wait a third of their time for
/// runs and clocks. The browser comes first wherever both want a core; what the Rust tests print
/// comes when all is over.
fn beside(root: &Path, told: &Path, report: &mut Report) {
    println!("\n== browser, with the Rust tests behind it");
    let timed = |work: &dyn Fn() -> Done| {
        let started = Instant::now();
        let done = work();
        (started.elapsed(), done)
    };
    let behind = || {
        start_anew(told)?;
        rust_tests(root).into_iter().try_for_each(|test| run_into(told, &mut later(test)))
    };
    let (rust, browser) = std::thread::scope(|scope| {
        let rust = scope.spawn(|| timed(&behind));
        let browser = timed(&|| browser(root));
        (rust.join().expect("a part reports and does not panic"), browser)
    });
    println!("\n== rust\n{}", std::fs::read_to_string(told).unwrap_or_default());
    report.add("rust", rust.0, &rust.1);
    report.add("browser", browser.0, &browser.1);
}

/// An empty file in a folder that is there.
fn start_anew(file: &Path) -> Done {
    let lost = |why| ChoreError::File { path: file.to_owned(), why };
    file.parent().map_or(Ok(()), std::fs::create_dir_all).map_err(lost)?;
    std::fs::write(file, "").map_err(lost)
}

/// The command with less claim to a core, where the machine knows how.
fn later(command: Command) -> Command {
    if on_path(&["nice"]).is_none() {
        return command;
    }
    let mut nice = Command::new("nice");
    nice.args(["-n", "10"]).arg(command.get_program()).args(command.get_args());
    if let Some(folder) = command.get_current_dir() {
        nice.current_dir(folder);
    }
    nice
}

fn browser(root: &Path) -> Done {
    let chromium = chromium::find_or_install()?;
    let program = build_program(root)?;
    install_packages(root)?;
    run(&mut playwright(root, &program, &chromium, &["test"]))
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
