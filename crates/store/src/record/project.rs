//! What is current, worked out from the log and from nothing else.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::RangeInclusive;

use estimate::Character;
use sense::{Instruments, Reading, RecordedRun};
use still::plan::RunPlan;

use super::act::{CheckList, RequestKey};
use super::entry::{Entry, Logged, StoredEnd};
use super::event::StoredEvent;
use super::lesson::StoredBalance;
use super::new_run::RunMode;
use super::open::Store;
use super::run_id::{EntryNumber, RunId};
use super::steady::SteadyMark;
use super::units::FedUnit;
use crate::error::StoreError;
use crate::folder::Origin;

/// How far a run has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum RunStatus {
    /// Not heating yet.
    Planned,
    /// Between heater on and its end.
    Running,
    /// Over.
    Ended,
    /// Given up: it teaches nothing.
    Abandoned,
}

/// One line of the list of runs.
#[derive(Debug, Clone, PartialEq)]
pub struct RunSummary {
    /// The run.
    pub id: RunId,
    /// What the person calls it.
    pub title: String,
    /// Where it comes from.
    pub mode: RunMode,
    /// Whether it belongs to the example house.
    pub example: bool,
    /// How far it has come.
    pub status: RunStatus,
    /// When it was opened, milliseconds of UTC.
    pub created_ms: i64,
    /// Heater on, milliseconds of UTC.
    pub started_ms: Option<i64>,
    /// How it ended.
    pub ended: Option<StoredEnd>,
    /// When its end was written, milliseconds of UTC.
    pub ended_ms: Option<i64>,
    /// Whether the balance of its alcohol was ever worked out.
    pub balanced: bool,
    /// The zone of its plan, minutes east of UTC.
    pub zone_offset_minutes: i32,
    /// Name of its still.
    pub still: String,
    /// Litres of its charge.
    pub litres: f64,
    /// Why it was given up, if it was.
    pub abandoned: Option<String>,
    /// Where a run that was read from a folder comes from.
    pub origin: Option<Origin>,
    /// Whether it counts for what is learned: a person can leave it out.
    pub counts: bool,
}

impl RunSummary {
    /// Whether a simulated still was rehearsed on; none for a folder that does not say.
    #[must_use]
    pub fn rehearsed(&self) -> Option<bool> {
        match self.mode {
            RunMode::Real => Some(false),
            RunMode::Rehearsal { .. } => Some(true),
            RunMode::Imported => self.origin.as_ref().and_then(|origin| origin.rehearsed),
        }
    }
}

/// A step that was begun as one act.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BegunGroup {
    /// The entry that says so.
    pub begun: EntryNumber,
    /// Position of the step in the plan.
    pub step: usize,
    /// The entries that are this act.
    pub entries: RangeInclusive<EntryNumber>,
}

/// What the clocks showed at a run time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClockAnchor {
    /// Run time, s.
    pub time_s: f64,
    /// The clock on the wall: milliseconds since 1970 UTC.
    pub utc_ms: i64,
    /// The clock that nobody sets, where it can be known.
    pub steady: Option<SteadyMark>,
}

/// A whole run as it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct RunState {
    /// Title, mode, status, times and end.
    pub summary: RunSummary,
    /// The plan in force.
    pub plan: RunPlan,
    /// What the clock on the wall showed at which run time: heater on, whenever it was set
    /// since, and whenever the computer began anew.
    pub anchors: Vec<ClockAnchor>,
    /// Everything read, done and collected, in the order it was written; withdrawn left out, and
    /// readings put right by the calibration in force at their time.
    pub rows: RecordedRun,
    /// Entry number of each action in `rows`.
    pub action_entries: Vec<EntryNumber>,
    /// Entry number of each jar in `rows`.
    pub jar_entries: Vec<EntryNumber>,
    /// The rows that a person read, as they were entered, with their entries; they stand last among
    /// the readings of `rows`, in this order.
    pub read_by_hand: Vec<(EntryNumber, f64, Reading)>,
    /// What the engine said, with entry numbers.
    pub events: Vec<(EntryNumber, StoredEvent)>,
    /// Speed of a rehearsal.
    pub speed: Option<f64>,
    /// Entries that do not hold any more, with those of steps begun and those that were corrected.
    pub withdrawn: BTreeSet<EntryNumber>,
    /// Entries that were corrected, and those that took their place.
    pub corrected: BTreeMap<EntryNumber, EntryNumber>,
    /// Steps that were begun as one act.
    pub groups: Vec<BegunGroup>,
    /// Keys of requests with their entries, the oldest first.
    pub keys: Vec<(EntryNumber, RequestKey)>,
    /// Check lists that were signed, with their entries and when they were stored, ms UTC; the last
    /// one holds.
    pub checks: Vec<(EntryNumber, CheckList, i64)>,
    /// What one jar holds, mL, with the entries; the last one holds.
    pub jar_sizes: Vec<(EntryNumber, f64)>,
    /// What it was read with.
    pub instruments: Instruments,
    /// What its sources count in, as far as that is not the unit of their channel.
    pub fed_units: Vec<FedUnit>,
    /// Truth of a simulated recording.
    pub outcome: Option<serde_json::Value>,
    /// Where its alcohol went, as last worked out.
    pub balance: Option<StoredBalance>,
    /// What was believed of the still when the run was opened.
    pub character: Option<Character>,
    /// Number of the last entry that holds or withdraws rows.
    pub last_row_entry: EntryNumber,
    /// Latest run time that any entry names, s.
    pub last_time_s: f64,
    /// Number of the last entry.
    pub last_entry: EntryNumber,
}

/// Kinds of entry from which the list of runs is made.
pub(super) const SUMMARY_KINDS: [&str; 7] =
    ["opened", "plan", "started", "ended", "abandoned", "named", "balance"];

impl Store {
    /// The list of runs, oldest first: the user's own, or those of the example house.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] for a damaged or newer entry.
    pub fn runs(&self, example: bool) -> Result<Vec<RunSummary>, StoreError> {
        let ids: Vec<String> = {
            let connection = self.reader();
            let mut statement = connection.prepare_cached(
                "SELECT run_id FROM head WHERE run_id NOT IN ($1, $2) AND substr(run_id, 1, 5) <> $3 ORDER BY ordinal",
            )?;
            let rows =
                statement.query_map([RunId::HOUSE, RunId::BOOK, RunId::WASH], |row| row.get(0))?;
            rows.collect::<Result<_, _>>()?
        };
        let left_out = self.left_out()?;
        let mut runs = Vec::new();
        for id in ids {
            let mut state = self.fold(&RunId(id), Some(&SUMMARY_KINDS))?;
            if state.summary.example == example {
                state.summary.counts = !left_out.contains(&state.summary.id);
                runs.push(state.summary);
            }
        }
        Ok(runs)
    }

    /// The real runs of a still that are going on: heat was on, and they are not over.
    ///
    /// # Errors
    /// As [`Store::runs`].
    pub fn running(&self, still: &str) -> Result<Vec<RunSummary>, StoreError> {
        let ids: Vec<String> = {
            let connection = self.reader();
            let mut statement = connection.prepare_cached(
                "SELECT run_id FROM head WHERE run_id NOT IN ($1, $2) AND substr(run_id, 1, 5) <> $3 \
                 AND EXISTS (SELECT 1 FROM entry WHERE run_id = head.run_id AND kind = 'started') \
                 AND NOT EXISTS (SELECT 1 FROM entry WHERE run_id = head.run_id \
                     AND kind IN ('ended', 'abandoned')) ORDER BY ordinal",
            )?;
            let rows =
                statement.query_map([RunId::HOUSE, RunId::BOOK, RunId::WASH], |row| row.get(0))?;
            rows.collect::<Result<_, _>>()?
        };
        let mut runs = Vec::new();
        for id in ids {
            let summary = self.fold(&RunId(id), Some(&SUMMARY_KINDS))?.summary;
            if summary.mode == RunMode::Real && summary.still == still {
                runs.push(summary);
            }
        }
        Ok(runs)
    }

    /// A run as it stands.
    ///
    /// # Errors
    /// [`StoreError::NoRun`], [`StoreError::Unreadable`] for a damaged or newer entry.
    pub fn run(&self, run: &RunId) -> Result<RunState, StoreError> {
        let mut state = self.fold(run, None)?;
        state.summary.counts = !self.left_out()?.contains(run);
        self.put_noses(&mut state)?;
        Ok(state)
    }

    fn fold(&self, run: &RunId, kinds: Option<&[&str]>) -> Result<RunState, StoreError> {
        if run.is_wash() {
            return Err(StoreError::NoRun { run: crate::rows::shown(run.as_str()) });
        }
        let last_entry = self.length(run)?;
        let mut state: Option<RunState> = None;
        let mut take = |logged: Logged| {
            match (&mut state, logged.entry) {
                (None, Entry::Opened(new)) => {
                    state = Some(RunState::opened(run, *new, logged.stored_ms, last_entry));
                }
                (None, _) => {}
                (Some(state), entry) => state.apply(logged.number, logged.stored_ms, entry),
            }
            Ok(())
        };
        match kinds {
            Some(kinds) => self.for_each_of(run, kinds, &mut take)?,
            None => self.for_each_entry(run, &mut take)?,
        }
        let mut state = state.ok_or_else(|| StoreError::Unreadable {
            run: run.to_string(),
            entry: 1,
            what: "the run does not begin with its plan".into(),
        })?;
        state.leave_out();
        Ok(state)
    }
}
