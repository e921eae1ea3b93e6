//! `cargo xtask benchmark`: forecasts a collection of recordings, scores them, writes the page.

use std::fmt::Write as _;
use std::num::NonZero;
use std::path::Path;
use std::process::Stdio;
use std::time::{Duration, Instant};

use crate::command::{ChoreError, Done, cargo, output, run};

/// Where recordings lie that no argument names.
const FOLDER_VARIABLE: &str = "MIDDLECUT_RECORDINGS";
/// Longest time that all 60 recordings of the collection may take on two cores.
const BOUND: Duration = Duration::from_mins(5);
/// What can be said after the chore's name.
const ALLOWED: &str =
    "a folder of recordings (or MIDDLECUT_RECORDINGS names it), --baseline FORECASTS.csv";

/// What was asked for.
#[derive(Debug, PartialEq, Eq)]
struct Wanted {
    folder: String,
    baselines: Vec<String>,
}

/// Makes the forecasts to compare with, then the page with `forecasts.csv` and the time it took,
/// then all of it once more with every column played live, which must forecast the same bytes.
pub(crate) fn run_benchmark(root: &Path, options: &[&str]) -> Done {
    let wanted = wanted(options, std::env::var(FOLDER_VARIABLE).ok())?;
    let page = root.join("docs/benchmark");
    let scratch = root.join("target/benchmark");
    for dir in [&page, &scratch] {
        std::fs::create_dir_all(dir).map_err(|why| ChoreError::File { path: dir.clone(), why })?;
    }
    run(&mut cargo(root, &["build", "--release", "-p", "workbench"]))?;
    let mut compared = wanted.baselines.clone();
    for (without, option) in [("no_update", "--no-update"), ("no_learning", "--no-learning")] {
        let file = typed(&scratch.join(format!("{without}.csv")));
        forecast(root, &[&wanted.folder, option, "--csv", &file], Stdio::null())?;
        compared.push(file);
    }
    let (kept, again) = (page.join("forecasts.csv"), scratch.join("again.csv"));
    let timed = |csv: &Path, further: &[&str], output: Stdio| -> Done<Duration> {
        let (page_folder, csv) = (typed(&page), typed(csv));
        let mut arguments = vec![wanted.folder.as_str(), "--csv", &csv, "--report", &page_folder];
        for file in &compared {
            arguments.extend(["--baseline", file]);
        }
        arguments.extend(further);
        let started = Instant::now();
        forecast(root, &arguments, output)?;
        Ok(started.elapsed())
    };
    let took = timed(&kept, &[], Stdio::null())?;
    let took_live = timed(&again, &["--replay"], Stdio::inherit())?;
    same_bytes(&kept, &again)?;
    let cores = std::thread::available_parallelism().map_or(1, NonZero::get);
    let updates =
        output(&mut cargo(root, &["bench", "--quiet", "-p", "rehearse", "--bench", "update"]))?;
    let text = cost(took, took_live, cores, &updates);
    print!("\n{text}");
    let path = page.join("cost.md");
    std::fs::write(&path, text).map_err(|why| ChoreError::File { path, why })
}

/// The same recordings and seed must give the same forecasts.
fn same_bytes(first: &Path, second: &Path) -> Done {
    let read = |path: &Path| {
        std::fs::read(path).map_err(|why| ChoreError::File { path: path.to_path_buf(), why })
    };
    if read(first)? == read(second)? {
        return Ok(());
    }
    let why = std::io::Error::other(format!("differs from {}, made before", first.display()));
    Err(ChoreError::File { path: second.to_path_buf(), why })
}

fn forecast(root: &Path, arguments: &[&str], output: Stdio) -> Done {
    let program = ["run", "--release", "--quiet", "-p", "workbench", "--"];
    let mut command = cargo(root, &[&program[..], &["benchmark"], arguments].concat());
    run(command.stdout(output))
}

fn wanted(options: &[&str], folder: Option<String>) -> Done<Wanted> {
    let refused = |given: &str| {
        Err(ChoreError::Option { given: given.to_owned(), allowed: ALLOWED.to_owned() })
    };
    let (mut named, mut baselines) = (None, Vec::new());
    let mut rest = options.iter();
    while let Some(option) = rest.next() {
        match *option {
            "--baseline" => match rest.next() {
                Some(file) => baselines.push(absolute(file)),
                None => return refused("--baseline without a file"),
            },
            option if option.starts_with('-') => return refused(option),
            further if named.is_some() => return refused(further),
            first => named = Some(first.to_owned()),
        }
    }
    match named.or(folder) {
        Some(folder) => Ok(Wanted { folder: absolute(&folder), baselines }),
        None => refused("benchmark without a folder"),
    }
}

/// The program is started in the workspace, whatever the folder it was asked for in.
fn absolute(path: &str) -> String {
    std::path::absolute(path).map_or_else(|_| path.to_owned(), |path| typed(&path))
}

fn typed(path: &Path) -> String {
    path.display().to_string()
}

/// The page about the time it took: apart, because it is another one every time.
fn cost(took: Duration, took_live: Duration, cores: usize, updates: &str) -> String {
    let mut text = String::from(
        "# What the benchmark costs\n\nWritten by `cargo xtask benchmark`; changes by hand are lost.\n\n",
    );
    let kept = if took <= BOUND { "kept" } else { "NOT kept" };
    let (took_s, bound_s) = (took.as_secs_f64(), BOUND.as_secs());
    let _ = writeln!(
        text,
        "All recordings forecast, learned from, scored and drawn: {took_s:.0} s on {cores} cores \
         (at most {bound_s} s on 2 cores: {kept})."
    );
    let live_s = took_live.as_secs_f64();
    let _ = writeln!(
        text,
        "\nThe same with every column also played through the live engine, a second of the run at a \
         time: {live_s:.0} s (no bound)."
    );
    let _ = write!(
        text,
        "\n## An update of the estimate, through one long run\n\nFrom `cargo bench -p rehearse`, one \
         core. Simulations of the still are counts and do not jitter. Bounds on the medians: 50 ms \
         without congeners, 250 ms with them, no growth over a run.\n\n```text\n{}\n```\n",
        updates.trim()
    );
    text
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::{Wanted, cost, same_bytes, wanted};

    #[test]
    fn the_folder_is_named_or_comes_from_the_environment() {
        let of = |options: &[&str], variable: Option<&str>| {
            wanted(options, variable.map(str::to_owned)).map(|wanted| wanted.folder).ok()
        };
        assert_eq!(of(&["/a"], Some("/b")), Some("/a".to_owned()));
        assert_eq!(of(&[], Some("/b")), Some("/b".to_owned()));
        assert_eq!(of(&[], None), None);
        assert_eq!(of(&["/a", "/c"], None), None);
        assert_eq!(of(&["/a", "--fast"], None), None);
        assert_eq!(of(&["/a", "--baseline"], None), None);
        let both = wanted(&["--baseline", "/x.csv", "/a", "--baseline", "/y.csv"], None).unwrap();
        let baselines = vec!["/x.csv".to_owned(), "/y.csv".to_owned()];
        assert_eq!(both, Wanted { folder: "/a".to_owned(), baselines });
    }

    #[test]
    fn the_bound_is_five_minutes_and_holds_for_the_forecasts_alone() {
        let long = Duration::from_mins(15);
        let kept = cost(Duration::from_mins(5), long, 2, "  quarter 1: 3 \n");
        assert!(kept.contains("300 s on 2 cores (at most 300 s on 2 cores: kept)"), "{kept}");
        assert!(kept.contains("900 s (no bound)"), "{kept}");
        assert!(kept.contains("```text\nquarter 1: 3\n```"), "{kept}");
        assert!(cost(Duration::from_secs(301), long, 2, "").contains("NOT kept"));
    }

    #[test]
    fn forecasts_that_differ_the_second_time_are_refused() {
        let dir = std::env::temp_dir().join(format!("middlecut-xtask-{}", std::process::id()));
        std::fs::create_dir_all(&dir).unwrap();
        let [one, two] = ["one.csv", "two.csv"].map(|name| dir.join(name));
        std::fs::write(&one, "run,at_fraction\n").unwrap();
        std::fs::write(&two, "run,at_fraction\n").unwrap();
        assert!(same_bytes(&one, &two).is_ok());
        std::fs::write(&two, "run\n").unwrap();
        assert!(same_bytes(&one, &two).is_err_and(|why| why.to_string().contains("two.csv")));
        std::fs::remove_dir_all(&dir).unwrap();
    }
}
