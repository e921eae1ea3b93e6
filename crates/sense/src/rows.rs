//! Rows of a run in the order in which the engine must get them.
//!
//! Of rows with the same time, readings come first, then actions, then jars: the one rule that
//! makes a replay say what the live run said.

use crate::input::{Action, JarRecord};
use crate::reading::Reading;

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
    /// Run time of the last row, s; 0 where there is none. What is measured of a liquid afterwards
    /// makes no run longer.
    #[must_use]
    pub fn last_s(&self) -> f64 {
        let readings = self.readings.iter().map(|row| row.0);
        let runs = |row: &&(f64, Action)| !matches!(row.1, Action::Vessel(_));
        let actions = self.actions.iter().filter(runs).map(|row| row.0);
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

    /// What had been recorded by run time `at_s`: a jar counts once it is closed.
    #[must_use]
    pub fn until(&self, at_s: f64) -> Self {
        Self {
            readings: self.readings.iter().filter(|row| row.0 <= at_s).copied().collect(),
            actions: self.actions.iter().filter(|row| row.0 <= at_s).cloned().collect(),
            jars: self.jars.iter().filter(|jar| jar.end_s <= at_s).cloned().collect(),
        }
    }
}

/// One row of a recorded run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Row<'a> {
    /// Readings, with their run time in s.
    Reading(f64, &'a Reading),
    /// An act, with its run time in s.
    Action(f64, &'a Action),
    /// The record of a jar; it counts from when the jar was closed.
    Jar(&'a JarRecord),
}

/// A place in a recorded run, up to which its rows were taken.
#[derive(Debug)]
pub struct Cursor<'a> {
    readings: Vec<&'a (f64, Reading)>,
    actions: Vec<&'a (f64, Action)>,
    jars: Vec<&'a JarRecord>,
    next: [usize; 3],
}

impl<'a> Cursor<'a> {
    /// The start of a run.
    #[must_use]
    pub fn new(rows: &'a RecordedRun) -> Self {
        let mut readings: Vec<_> = rows.readings.iter().collect();
        let mut actions: Vec<_> = rows.actions.iter().collect();
        let mut jars: Vec<_> = rows.jars.iter().collect();
        // Stable sorts: rows of one kind and time keep the order of the file.
        readings.sort_by(|a, b| a.0.total_cmp(&b.0));
        actions.sort_by(|a, b| a.0.total_cmp(&b.0));
        jars.sort_by(|a, b| a.end_s.total_cmp(&b.end_s));
        Self { readings, actions, jars, next: [0; 3] }
    }

    /// The next row up to and with `time_s`, in the order in which the engine must get them.
    pub fn next_until(&mut self, time_s: f64) -> Option<Row<'a>> {
        let times = [
            self.readings.get(self.next[0]).map_or(f64::INFINITY, |row| row.0),
            self.actions.get(self.next[1]).map_or(f64::INFINITY, |row| row.0),
            self.jars.get(self.next[2]).map_or(f64::INFINITY, |jar| jar.end_s),
        ];
        let first = times.iter().copied().fold(f64::INFINITY, f64::min);
        if first > time_s || !first.is_finite() {
            return None;
        }
        let kind = times.iter().position(|&t| t <= first)?;
        let at = self.next[kind];
        self.next[kind] += 1;
        Some(match kind {
            0 => Row::Reading(self.readings[at].0, &self.readings[at].1),
            1 => Row::Action(self.actions[at].0, &self.actions[at].1),
            _ => Row::Jar(self.jars[at]),
        })
    }
}
