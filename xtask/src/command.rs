//! Runs other programs: each with a time limit, those that use the network with bounded retries.

use std::fmt;
use std::fs::File;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

/// Longest time any one program may take.
const LIMIT: Duration = Duration::from_mins(25);
/// How often a running program is looked at.
const LOOK_EVERY: Duration = Duration::from_millis(50);
/// How often something that needs the network is tried.
const TRIES_MAX: u32 = 3;

/// Why a chore did not get done.
#[derive(Debug)]
pub(crate) enum ChoreError {
    /// A program is not installed or could not be started.
    NotStarted { program: String, why: std::io::Error },
    /// A program said no.
    Failed { line: String, status: ExitStatus },
    /// A program took too long and was ended.
    TooLong { line: String, limit: Duration },
    /// A file could not be read or written.
    File { path: PathBuf, why: std::io::Error },
    /// An option nobody knows.
    Option { given: String, allowed: String },
    /// No browser to test with.
    NoBrowser { why: String },
    /// Broken rules of the tree, one a line.
    Untidy { findings: Vec<String> },
    /// Parts of the test that failed.
    Parts { names: Vec<&'static str> },
    /// Fewer were tried than count.
    Few { found: u64, least: u64 },
    /// What should be the same is not.
    Differs { what: String },
    /// Trials that did not hold what they should.
    Trials { names: Vec<&'static str> },
}

impl ChoreError {
    /// What to do about it.
    pub(crate) fn hint(&self) -> Option<String> {
        match self {
            Self::NotStarted { program, .. } if program == "npm" || program == "npx" => {
                Some("install Node 20 or newer, with npm".into())
            }
            Self::NotStarted { program, .. } => Some(format!("install {program}")),
            Self::Option { allowed, .. } => Some(format!("allowed: {allowed}")),
            Self::Trials { names } if names.contains(&"clock") => {
                Some("the trial of the clock needs libfaketime: apt-get install faketime".into())
            }
            Self::NoBrowser { .. } => {
                Some("install Chromium, or set MIDDLECUT_CHROMIUM, or pass --no-browser".into())
            }
            _ => None,
        }
    }
}

impl fmt::Display for ChoreError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotStarted { program, why } => write!(out, "cannot start {program}: {why}"),
            Self::Failed { line, status } => write!(out, "{line}: {status}"),
            Self::TooLong { line, limit } => {
                write!(out, "{line}: not done after {} s", limit.as_secs())
            }
            Self::File { path, why } => write!(out, "{}: {why}", path.display()),
            Self::Option { given, .. } => write!(out, "unknown option: {given}"),
            Self::NoBrowser { why } => write!(out, "NO BROWSER TESTS RAN: {why}"),
            Self::Untidy { findings } => {
                write!(out, "{} rules broken\n  {}", findings.len(), findings.join("\n  "))
            }
            Self::Trials { names } => write!(out, "trials not held: {}", names.join(", ")),
            Self::Few { found, least } => {
                write!(out, "only {found} of at least {least} were tried")
            }
            Self::Differs { what } => write!(out, "not as it should be: {what}"),
            Self::Parts { names } => write!(out, "failed: {}", names.join(", ")),
        }
    }
}

/// What every chore returns.
pub(crate) type Done<T = ()> = Result<T, ChoreError>;

/// Cargo itself, in the workspace, without what cargo told this program of its own package: build
/// scripts that look at it would run once for a chore and again for a command by hand.
pub(crate) fn cargo(root: &Path, arguments: &[&str]) -> Command {
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let mut command = Command::new(cargo);
    command.current_dir(root).args(arguments);
    let own = |name: &str| name.starts_with("CARGO_PKG_") || name.starts_with("CARGO_MANIFEST_");
    for (name, _) in std::env::vars_os().filter(|(name, _)| name.to_str().is_some_and(own)) {
        command.env_remove(name);
    }
    command
}

/// A program of the page's tool chain, in `web/`.
pub(crate) fn in_web(root: &Path, program: &str, arguments: &[&str]) -> Command {
    let mut command = Command::new(program);
    command.current_dir(root.join("web")).args(arguments);
    command
}

/// How the command would be typed.
fn line_of(command: &Command) -> String {
    let program = Path::new(command.get_program()).file_name().unwrap_or_default();
    let words = std::iter::once(program).chain(command.get_args());
    words.map(|word| word.to_string_lossy()).collect::<Vec<_>>().join(" ")
}

fn start(command: &mut Command) -> Done<Child> {
    command.spawn().map_err(|why| ChoreError::NotStarted {
        program: command.get_program().to_string_lossy().into_owned(),
        why,
    })
}

/// Runs to the end; anything but success is an error.
pub(crate) fn run(command: &mut Command) -> Done {
    let line = line_of(command);
    println!("$ {line}");
    let mut child = start(command.stdin(Stdio::null()))?;
    let status = wait(&mut child, &line)?;
    if status.success() { Ok(()) } else { Err(ChoreError::Failed { line, status }) }
}

/// Runs to the end with all that is printed going into a file, behind everything in front of it.
pub(crate) fn run_into(file: &Path, command: &mut Command) -> Done {
    let lost = |why| ChoreError::File { path: file.to_owned(), why };
    let line = line_of(command);
    let mut out = File::options().create(true).append(true).open(file).map_err(lost)?;
    writeln!(out, "$ {line}").map_err(lost)?;
    let both = (out.try_clone().map_err(lost)?, out);
    let mut child = start(command.stdin(Stdio::null()).stdout(both.0).stderr(both.1))?;
    let status = wait(&mut child, &line)?;
    if status.success() { Ok(()) } else { Err(ChoreError::Failed { line, status }) }
}

fn wait(child: &mut Child, line: &str) -> Done<ExitStatus> {
    let started = Instant::now();
    let lost = |why| ChoreError::NotStarted { program: line.to_owned(), why };
    while started.elapsed() < LIMIT {
        if let Some(status) = child.try_wait().map_err(lost)? {
            return Ok(status);
        }
        sleep(LOOK_EVERY);
    }
    child.kill().and_then(|()| child.wait()).map_err(lost)?;
    Err(ChoreError::TooLong { line: line.to_owned(), limit: LIMIT })
}

/// Runs something that needs the network, a few times with growing pauses.
pub(crate) fn run_with_retries(mut make: impl FnMut() -> Command) -> Done {
    let mut last = run(&mut make());
    for attempt in 2..=TRIES_MAX {
        match &last {
            Err(ChoreError::Failed { line, .. }) => {
                println!("{line} failed; try {attempt} of {TRIES_MAX} in {attempt} s");
            }
            _ => return last,
        }
        sleep(Duration::from_secs(u64::from(attempt)));
        last = run(&mut make());
    }
    last
}

/// What a program printed, where it succeeded.
pub(crate) fn output(command: &mut Command) -> Done<String> {
    let line = line_of(command);
    let program = command.get_program().to_string_lossy().into_owned();
    let output = command
        .stderr(Stdio::inherit())
        .output()
        .map_err(|why| ChoreError::NotStarted { program, why })?;
    if output.status.success() {
        Ok(String::from_utf8_lossy(&output.stdout).into_owned())
    } else {
        Err(ChoreError::Failed { line, status: output.status })
    }
}

/// The first of these programs that is on the path.
pub(crate) fn on_path(names: &[&str]) -> Option<PathBuf> {
    let path = std::env::var_os("PATH")?;
    let folders: Vec<PathBuf> = std::env::split_paths(&path).collect();
    names
        .iter()
        .flat_map(|name| folders.iter().map(move |folder| folder.join(name)))
        .find(|candidate| candidate.is_file())
}
