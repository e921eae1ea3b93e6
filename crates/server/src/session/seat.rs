//! The engine of one run and the rows it has had, in the order a replay of the record gives them.
//!
//! A row that comes late, or one that is withdrawn, changes the past: the engine is then built
//! anew from the rows, so that what it knows is always what the record says. Pure: no clock.

use std::collections::HashSet;

use advise::AdviseError;
use advise::live::{Action, Advice, Event, JarRecord, Live, LiveOptions, Reading, RunEnd};
use still::plan::RunPlan;

use super::points::{POINT_EVERY_S, Points, point};
use crate::wire::run::ColumnsWire;

/// Number of an entry in the log.
pub(crate) type Entry = u64;

/// One recorded row.
#[derive(Debug, Clone)]
pub(crate) enum Row {
    /// A row of readings.
    Reading(f64, Reading),
    /// An action, and the entry that holds it.
    Action(Entry, f64, Action),
    /// A jar, and the entry that holds it.
    Jar(Entry, JarRecord),
}

impl Row {
    /// Run time, s; a jar counts from when it was closed.
    pub(crate) fn time_s(&self) -> f64 {
        match self {
            Self::Reading(time_s, _) | Self::Action(_, time_s, _) => *time_s,
            Self::Jar(_, jar) => jar.end_s,
        }
    }

    /// Of rows with the same time, readings come first, then actions, then jars.
    fn rank(&self) -> u8 {
        match self {
            Self::Reading(..) => 0,
            Self::Action(..) => 1,
            Self::Jar(..) => 2,
        }
    }

    /// The order in which an engine gets rows.
    pub(crate) fn order(&self, other: &Self) -> std::cmp::Ordering {
        self.time_s().total_cmp(&other.time_s()).then(self.rank().cmp(&other.rank()))
    }

    fn entry(&self) -> Option<Entry> {
        match self {
            Self::Reading(..) => None,
            Self::Action(entry, ..) | Self::Jar(entry, _) => Some(*entry),
        }
    }

    fn feed(&self, live: &mut Live) -> Vec<Event> {
        match self {
            Self::Reading(time_s, reading) => live.reading(*time_s, reading),
            Self::Action(_, time_s, action) => live.action(*time_s, action),
            Self::Jar(_, jar) => live.jar(jar),
        }
    }
}

/// What makes an event the same as one said before.
type Mark = (i64, String);

/// The engine of one run with its rows.
#[derive(Debug)]
pub(crate) struct Seat {
    fresh: Live,
    live: Live,
    rows: Vec<Row>,
    ticked: Option<u64>,
    said: HashSet<Mark>,
    points: Points,
}

/// To the millisecond, as files hold times.
#[expect(clippy::cast_possible_truncation, reason = "a run lasts a fortnight at most")]
fn mark(time_s: f64, code: &str) -> Mark {
    ((time_s * 1000.0).round() as i64, code.to_owned())
}

impl Seat {
    /// An engine at run time 0.
    ///
    /// # Errors
    /// [`AdviseError`] for a plan that breaks a rule.
    pub(crate) fn new(plan: &RunPlan) -> Result<Self, AdviseError> {
        let fresh = Live::new(plan.clone(), LiveOptions::default())?;
        let live = fresh.clone();
        let said = HashSet::new();
        Ok(Self { fresh, live, rows: Vec::new(), ticked: None, said, points: Points::default() })
    }

    /// Takes note of what was said before this engine was built; returns whether it is new.
    pub(crate) fn remember(&mut self, time_s: f64, code: &str) -> bool {
        self.said.insert(mark(time_s, code))
    }

    /// The last second that was ended.
    pub(crate) fn ticked(&self) -> Option<u64> {
        self.ticked
    }

    /// How many rows there are.
    pub(crate) fn row_count(&self) -> usize {
        self.rows.len()
    }

    /// Takes a row and returns what is new to say.
    pub(crate) fn put(&mut self, row: Row) -> Vec<Event> {
        self.put_all(vec![row])
    }

    /// Takes rows and returns what is new to say; the past is built anew once at most.
    pub(crate) fn put_all(&mut self, rows: Vec<Row>) -> Vec<Event> {
        let mut said = Vec::new();
        let mut late = false;
        for row in rows {
            late |= self.is_late(&row);
            if late {
                let at = self.rows.partition_point(|other| row.order(other).is_ge());
                self.rows.insert(at, row);
            } else {
                said.extend(row.feed(&mut self.live));
                self.rows.push(row);
            }
        }
        let mut new = self.only_new(said);
        if late {
            new.extend(self.rebuild());
        }
        new
    }

    fn is_late(&self, row: &Row) -> bool {
        self.ticked.is_some_and(|second| row.time_s() <= second as f64)
            || self.rows.last().is_some_and(|last| row.order(last).is_lt())
    }

    /// Leaves the row of that entry out and returns what is new to say.
    pub(crate) fn withdraw(&mut self, entry: Entry) -> Vec<Event> {
        let before = self.rows.len();
        self.rows.retain(|row| row.entry() != Some(entry));
        if self.rows.len() == before { Vec::new() } else { self.rebuild() }
    }

    /// Ends a second, all of whose rows are in.
    pub(crate) fn tick(&mut self, second: u64) -> Vec<Event> {
        let said = self.live.tick(second);
        self.after_tick(second);
        self.only_new(said)
    }

    /// The record ends here.
    pub(crate) fn close(&mut self) -> Vec<Event> {
        let said = self.live.close();
        self.only_new(said)
    }

    /// Everything that is known now.
    pub(crate) fn advice(&self) -> Advice {
        self.live.advice()
    }

    /// How the run ended, once it has.
    pub(crate) fn end(&self) -> Option<RunEnd> {
        self.live.end()
    }

    /// The engine, to look at.
    pub(crate) fn live(&self) -> &Live {
        &self.live
    }

    /// The measured past.
    pub(crate) fn columns(&self) -> ColumnsWire {
        self.points.columns()
    }

    fn after_tick(&mut self, second: u64) {
        self.ticked = Some(second);
        if second.is_multiple_of(POINT_EVERY_S) {
            self.points.push(point(&self.live.advice()));
        }
    }

    /// Plays all rows to a fresh engine, as a replay does, up to the last ended second.
    fn rebuild(&mut self) -> Vec<Event> {
        self.live = self.fresh.clone();
        self.points = Points::default();
        let rows = std::mem::take(&mut self.rows);
        let mut said = Vec::new();
        let mut next = 0;
        for second in self.ticked.map_or(0..0, |last| 0..last + 1) {
            while let Some(row) = rows.get(next).filter(|row| row.time_s() <= second as f64) {
                said.extend(row.feed(&mut self.live));
                next += 1;
            }
            said.extend(self.live.tick(second));
            self.after_tick(second);
        }
        for row in &rows[next..] {
            said.extend(row.feed(&mut self.live));
        }
        self.rows = rows;
        self.only_new(said)
    }

    /// What of `said` was not said before; from now on it was.
    fn only_new(&mut self, said: Vec<Event>) -> Vec<Event> {
        let known = &mut self.said;
        said.into_iter().filter(|event| known.insert(mark(event.time_s, event.code))).collect()
    }
}
