//! One line on a terminal that says how far a long piece of work has come.

use std::io::{IsTerminal, Write, stderr};
use std::sync::Mutex;

/// Characters of the bar.
const WIDTH: usize = 30;

/// How far it is; quiet where standard error is no terminal.
#[derive(Debug)]
pub(super) struct Progress {
    total: usize,
    of: &'static str,
    shown: bool,
    done: Mutex<usize>,
}

impl Progress {
    /// Nothing done yet of that many forecasts or whatever `of` names.
    pub(super) fn new(total: usize, of: &'static str) -> Self {
        Self { total, of, shown: stderr().is_terminal(), done: Mutex::new(0) }
    }

    /// One more is done, of the run of that name.
    pub(super) fn step(&self, name: &str) {
        if !self.shown {
            return;
        }
        if let Ok(mut done) = self.done.lock() {
            *done += 1;
            say(&line(*done, self.total, self.of, name));
        }
    }

    /// Wipes the line.
    pub(super) fn finish(&self) {
        if self.shown {
            say("\r\u{1b}[K");
        }
    }
}

fn line(done: usize, total: usize, of: &str, name: &str) -> String {
    let full = WIDTH * done.min(total) / total.max(1);
    let bar = format!("{}{}", "#".repeat(full), ".".repeat(WIDTH - full));
    format!("\r\u{1b}[K[{bar}] {done} of {total} {of}  {name}")
}

/// A bar that cannot be drawn is no reason to stop.
fn say(text: &str) {
    let mut out = stderr().lock();
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}

#[cfg(test)]
mod tests {
    use super::line;

    #[test]
    fn the_bar_fills_and_never_overflows() {
        assert!(line(0, 10, "forecasts", "001").contains(&".".repeat(30)));
        assert!(line(12, 10, "forecasts", "001").contains(&"#".repeat(30)));
        assert!(line(5, 10, "forecasts", "001").contains("5 of 10 forecasts"));
    }
}
