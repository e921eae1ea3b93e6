//! Rows of a run in the order in which the engine must get them.
//!
//! Of rows with the same time, readings come first, then actions, then jars: the one rule that
//! makes a replay say what the live run said.

use crate::live::{Action, Event, JarRecord, Live, Reading};

/// Everything that was recorded in a run.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct RecordedRun {
    /// Readings with their run time, s.
    pub readings: Vec<(f64, Reading)>,
    /// Actions with their run time, s.
    pub actions: Vec<(f64, Action)>,
    /// Jars; each counts from the time it was closed.
    pub jars: Vec<JarRecord>,
}

/// What happened in one second of a run.
pub type SecondRows = RecordedRun;

impl RecordedRun {
    /// Run time of the last row, s; 0 where there is none.
    #[must_use]
    pub fn last_s(&self) -> f64 {
        let readings = self.readings.iter().map(|row| row.0);
        let actions = self.actions.iter().map(|row| row.0);
        let jars = self.jars.iter().map(|jar| jar.end_s);
        readings.chain(actions).chain(jars).fold(0.0, f64::max)
    }

    /// Whether nothing was recorded.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.readings.is_empty() && self.actions.is_empty() && self.jars.is_empty()
    }

    /// Appends the rows of `other`.
    pub fn append(&mut self, mut other: Self) {
        self.readings.append(&mut other.readings);
        self.actions.append(&mut other.actions);
        self.jars.append(&mut other.jars);
    }

    /// Gives all rows to the engine in order and returns what it says to them.
    pub fn feed(&self, live: &mut Live) -> Vec<Event> {
        let mut cursor = Cursor::new(self);
        cursor.feed_until(f64::INFINITY, live)
    }
}

/// A place in a recorded run, up to which the engine has got it.
#[derive(Debug)]
pub(crate) struct Cursor<'a> {
    readings: Vec<&'a (f64, Reading)>,
    actions: Vec<&'a (f64, Action)>,
    jars: Vec<&'a JarRecord>,
    next: [usize; 3],
}

impl<'a> Cursor<'a> {
    /// The start of a run.
    pub(crate) fn new(rows: &'a RecordedRun) -> Self {
        let mut readings: Vec<_> = rows.readings.iter().collect();
        let mut actions: Vec<_> = rows.actions.iter().collect();
        let mut jars: Vec<_> = rows.jars.iter().collect();
        // Stable sorts: rows of one kind and time keep the order of the file.
        readings.sort_by(|a, b| a.0.total_cmp(&b.0));
        actions.sort_by(|a, b| a.0.total_cmp(&b.0));
        jars.sort_by(|a, b| a.end_s.total_cmp(&b.end_s));
        Self { readings, actions, jars, next: [0; 3] }
    }

    /// Gives every row up to and with `time_s` to the engine.
    pub(crate) fn feed_until(&mut self, time_s: f64, live: &mut Live) -> Vec<Event> {
        let mut said = Vec::new();
        loop {
            let times = [
                self.readings.get(self.next[0]).map_or(f64::INFINITY, |row| row.0),
                self.actions.get(self.next[1]).map_or(f64::INFINITY, |row| row.0),
                self.jars.get(self.next[2]).map_or(f64::INFINITY, |jar| jar.end_s),
            ];
            let first = times.iter().copied().fold(f64::INFINITY, f64::min);
            if first > time_s || !first.is_finite() {
                return said;
            }
            let kind = times.iter().position(|&t| t <= first).unwrap_or(0);
            let at = self.next[kind];
            self.next[kind] += 1;
            said.extend(match kind {
                0 => live.reading(self.readings[at].0, &self.readings[at].1),
                1 => live.action(self.actions[at].0, &self.actions[at].1),
                _ => live.jar(self.jars[at]),
            });
        }
    }
}
