//! What came of watching a run.

use std::collections::BTreeMap;

use advise::{Event, RunEnd};

/// A rule that did not hold.
#[derive(Debug, Clone, PartialEq)]
pub struct Broken {
    /// Which rule.
    pub rule: &'static str,
    /// Run time, s.
    pub time_s: f64,
    /// What was found.
    pub what: String,
}

/// How much was looked at.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Count {
    /// Seconds.
    pub seconds: u64,
    /// Rules held against them.
    pub checks: u64,
    /// Events that said why a forecast moved.
    pub moves: u64,
}

impl Count {
    /// Adds what was looked at in another run.
    pub const fn add(&mut self, other: &Self) {
        self.seconds += other.seconds;
        self.checks += other.checks;
        self.moves += other.moves;
    }
}

/// What came of watching one run.
#[derive(Debug, Clone, PartialEq)]
pub struct Report {
    /// How much was looked at.
    pub count: Count,
    /// First examples of every rule that did not hold.
    pub broken: Vec<Broken>,
    /// How often each did not.
    pub often: BTreeMap<&'static str, u64>,
    /// Alarms that were raised.
    pub alarms: Vec<Event>,
    /// How the run ended.
    pub end: RunEnd,
}
