//! `cargo xtask fuzz`: the API asked thousands of things drawn from its own document.

use std::fs::{self, File};
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

use crate::command::{ChoreError, Done, cargo, run, run_with_retries};
use crate::test::target_folder;

/// The fuzzer, from `PyPI`.
const FUZZER: &str = "schemathesis==4.32.5";
/// Cases drawn for each operation, beside those that the document itself gives; judgement: eight
/// thousand in all, in two minutes.
const CASES: &str = "150";
/// Fewest cases that count as a run.
const CASES_MIN: u64 = 2000;
/// Longest wait for one answer, s; judgement: whoever waits longer takes the program for hung.
const ANSWER_MAX_S: &str = "20";
/// What must hold of every answer.
const CHECKS: &str = "not_a_server_error,status_code_conformance,content_type_conformance,\
                      response_headers_conformance,response_schema_conformance";

/// The server that is asked; stopped when this is dropped.
struct Asked(Child);

impl Drop for Asked {
    fn drop(&mut self) {
        // One that is gone already need not be stopped.
        drop(self.0.kill());
        drop(self.0.wait());
    }
}

/// Asks, with that seed; then the record must verify.
pub(crate) fn run_fuzz(root: &Path, options: &[&str]) -> Done {
    let seed = match options {
        [] => "1",
        [seed] if seed.parse::<u32>().is_ok() => seed,
        other => {
            let allowed = "a whole number, the seed".to_owned();
            return Err(ChoreError::Option { given: other.join(" "), allowed });
        }
    };
    run(&mut cargo(root, &["build", "--quiet", "-p", "middlecut"]))?;
    let target = target_folder(root)?;
    let (program, folder) = (target.join("debug/middlecut"), target.join("fuzz"));
    let file = |why| ChoreError::File { path: folder.clone(), why };
    fs::create_dir_all(&folder).map_err(file)?;
    let python = folder.join("venv/bin/python");
    if !python.exists() {
        run(Command::new("python3").args(["-m", "venv"]).arg(folder.join("venv")))?;
    }
    run_with_retries(|| {
        let mut pip = Command::new(&python);
        pip.args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", FUZZER]);
        pip
    })?;
    let data = folder.join("data");
    if data.exists() {
        fs::remove_dir_all(&data).map_err(file)?;
    }
    let (asked, address) = serve(&program, &data)?;
    let said = folder.join("said.txt");
    let out = File::create(&said).map_err(file)?;
    let mut fuzzer = Command::new(folder.join("venv/bin/schemathesis"));
    fuzzer
        .arg("run")
        .arg(format!("{address}/api/openapi.json"))
        .args(["-n", CASES, "--seed", seed, "--checks", CHECKS])
        .args(["--phases", "examples,coverage,fuzzing", "--continue-on-failure"])
        // Its answer never ends.
        .args(["--request-timeout", ANSWER_MAX_S, "--exclude-path", "/api/events"])
        .env("MIDDLECUT_FUZZ_ADDRESS", &address)
        .env("MIDDLECUT_FUZZ_SEED", seed)
        .env("SCHEMATHESIS_HOOKS", "hooks")
        .env("PYTHONPATH", root.join("xtask/fuzz"))
        .env("PYTHONDONTWRITEBYTECODE", "1")
        // What it keeps for itself stays out of the tree.
        .current_dir(&folder)
        .stdout(out);
    let held = run(&mut fuzzer);
    let text = fs::read_to_string(&said).map_err(file)?;
    // What it warns of where all held is that most of what is drawn is refused, as it should be.
    if held.is_err() {
        println!("{text}");
    }
    drop(asked);
    run(Command::new(&program).args(["verify", "--data"]).arg(&data))?;
    held?;
    let cases = cases(&text).unwrap_or(0);
    println!("{cases} cases, every answer as the document says");
    if cases >= CASES_MIN {
        Ok(())
    } else {
        Err(ChoreError::Few { found: cases, least: CASES_MIN })
    }
}

/// Starts the program on a free port; gives its address.
fn serve(program: &Path, data: &Path) -> Done<(Asked, String)> {
    let started = Command::new(program)
        .args(["serve", "--no-open", "--port", "0", "--data"])
        .arg(data)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn();
    let not = |why| ChoreError::NotStarted { program: program.display().to_string(), why };
    let mut asked = Asked(started.map_err(not)?);
    let mut first = String::new();
    if let Some(out) = asked.0.stdout.take() {
        BufReader::new(out).read_line(&mut first).map_err(not)?;
    }
    Ok((asked, first.trim().trim_end_matches('/').to_owned()))
}

/// How many cases the fuzzer drew, as it says at its end.
fn cases(text: &str) -> Option<u64> {
    let line = text.lines().rev().find(|line| line.contains(" generated"))?;
    line.split_whitespace().next()?.parse().ok()
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_number_of_cases_is_read() {
        let said = "Test cases:\n  8398 generated, 1 found 1 unique failure\n\nSeed: 7\n";
        assert_eq!(super::cases(said), Some(8398));
        assert_eq!(super::cases("nothing"), None);
    }
}
