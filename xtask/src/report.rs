//! The parts of a test run, how long each took, and what became of it.

use std::time::{Duration, Instant};

use crate::command::{ChoreError, Done};

/// One part as it went.
struct Part {
    name: &'static str,
    took: Duration,
    passed: bool,
}

/// Collects the parts of one run.
pub(crate) struct Report {
    started: Instant,
    parts: Vec<Part>,
}

impl Report {
    /// An empty report; the clock starts.
    pub(crate) fn new() -> Self {
        Self { started: Instant::now(), parts: Vec::new() }
    }

    /// Runs one part and says what became of it; later parts run whatever it was.
    pub(crate) fn part(&mut self, name: &'static str, work: impl FnOnce() -> Done) {
        println!("\n== {name}");
        let started = Instant::now();
        let done = work();
        self.add(name, started.elapsed(), &done);
    }

    /// Takes down a part that ran, and why it failed.
    pub(crate) fn add(&mut self, name: &'static str, took: Duration, done: &Done) {
        if let Err(error) = done {
            eprintln!("error: {name}: {error}");
            if let Some(hint) = error.hint() {
                eprintln!("hint: {hint}");
            }
        }
        self.parts.push(Part { name, took, passed: done.is_ok() });
    }

    /// Prints the table; an error where any part failed.
    pub(crate) fn finish(self) -> Done {
        println!();
        for Part { name, took, passed } in &self.parts {
            let word = if *passed { "passed" } else { "FAILED" };
            println!("{name:<10} {word}  {:>8.1} s", took.as_secs_f64());
        }
        println!("{:<10} {:>16.1} s", "total", self.started.elapsed().as_secs_f64());
        let names: Vec<&'static str> =
            self.parts.iter().filter(|part| !part.passed).map(|part| part.name).collect();
        if names.is_empty() { Ok(()) } else { Err(ChoreError::Parts { names }) }
    }
}
