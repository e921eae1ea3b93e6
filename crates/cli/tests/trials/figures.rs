//! What a trial measured, beside its bound: told at once, kept for the chore's table.

use std::fmt::Display;
use std::io::Write as _;

/// The folder the chore reads the figures from; none where a trial is run by hand.
const FOLDER_VARIABLE: &str = "MIDDLECUT_TRIALS";

/// The figures of one trial.
pub(crate) struct Figures {
    trial: &'static str,
    broken: Vec<String>,
}

impl Figures {
    /// None yet.
    pub(crate) const fn of(trial: &'static str) -> Self {
        Self { trial, broken: Vec::new() }
    }

    /// What came of one thing, with its bound in words.
    pub(crate) fn tell(&mut self, what: &str, measured: impl Display, bound: &str, held: bool) {
        let held_words = if held { "held" } else { "NOT HELD" };
        let line = [self.trial, what, &measured.to_string(), bound, held_words].join("\t");
        println!("{line}");
        self.keep(&line);
        if !held {
            self.broken.push(line);
        }
    }

    /// A number with a unit that may not be exceeded; not a number is none.
    pub(crate) fn at_most(&mut self, what: &str, measured: f64, bound: f64, unit: &str) {
        let decimals = usize::from(bound < 100.0) + usize::from(bound < 10.0);
        let measured_words = format!("{measured:.decimals$} {unit}");
        let bound_words = format!("at most {bound} {unit}");
        self.tell(what, measured_words, &bound_words, measured <= bound);
    }

    /// So many of so many.
    pub(crate) fn all(&mut self, what: &str, count: usize, of: usize) {
        self.tell(what, format!("{count} of {of}"), "all", count == of);
    }

    /// Something that is only told.
    pub(crate) fn note(&mut self, what: &str, measured: impl Display) {
        self.tell(what, measured, "-", true);
    }

    fn keep(&self, line: &str) {
        let Some(folder) = std::env::var_os(FOLDER_VARIABLE) else { return };
        let path = std::path::Path::new(&folder).join(format!("{}.tsv", self.trial));
        let file = std::fs::OpenOptions::new().create(true).append(true).open(path);
        file.and_then(|mut file| writeln!(file, "{line}")).expect("the chore's folder is there");
    }

    /// The trial is over: it fails where a bound was not held.
    pub(crate) fn finish(self) {
        assert!(self.broken.is_empty(), "not held:\n{}", self.broken.join("\n"));
    }
}

/// The share of the sorted values that lies at or below what is given: 0.99 is the 99th percentile.
pub(crate) fn percentile(values: &mut [f64], share: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place in a list"
    )]
    let place = (share * values.len() as f64).ceil().max(1.0) as usize - 1;
    values.get(place).copied().unwrap_or(f64::NAN)
}
