//! What is current, worked out from the log and from nothing else.

use std::collections::BTreeSet;

use estimate::{AlcoholBalance, Character};
use sense::JarRecord;
use sense::RecordedRun;
use still::plan::RunPlan;

use super::entry::{Entry, EntryNumber, Logged, RunId, RunMode, StoredEnd, StoredEvent};
use super::lesson::StoredBalance;
use super::open::Store;
use crate::error::StoreError;

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
}

/// What the clock on the wall showed at a run time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClockAnchor {
    /// Run time, s.
    pub time_s: f64,
    /// Milliseconds since 1970 UTC.
    pub utc_ms: i64,
}

/// A whole run as it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct RunState {
    /// Title, mode, status, times and end.
    pub summary: RunSummary,
    /// The plan in force.
    pub plan: RunPlan,
    /// What the clock on the wall showed at which run time: heater on, and whenever it was set since.
    pub anchors: Vec<ClockAnchor>,
    /// Everything read, done and collected, in the order it was written; withdrawn left out.
    pub rows: RecordedRun,
    /// Entry number of each action in `rows`.
    pub action_entries: Vec<EntryNumber>,
    /// Entry number of each jar in `rows`.
    pub jar_entries: Vec<EntryNumber>,
    /// What the engine said, with entry numbers.
    pub events: Vec<(EntryNumber, StoredEvent)>,
    /// Speed of a rehearsal.
    pub speed: Option<f64>,
    /// Entries that do not hold any more.
    pub withdrawn: BTreeSet<EntryNumber>,
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
const SUMMARY_KINDS: [&str; 5] = ["opened", "plan", "started", "ended", "balance"];

impl Store {
    /// The list of runs, oldest first: the user's own, or those of the example house.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] for a damaged or newer entry.
    pub fn runs(&self, example: bool) -> Result<Vec<RunSummary>, StoreError> {
        let ids: Vec<String> = {
            let connection = self.reader();
            let mut statement = connection
                .prepare_cached("SELECT run_id FROM head WHERE run_id <> $1 ORDER BY ordinal")?;
            let rows = statement.query_map([RunId::HOUSE], |row| row.get(0))?;
            rows.collect::<Result<_, _>>()?
        };
        let mut runs = Vec::new();
        for id in ids {
            let state = self.fold(&RunId(id), Some(&SUMMARY_KINDS))?;
            if state.summary.example == example {
                runs.push(state.summary);
            }
        }
        Ok(runs)
    }

    /// A run as it stands.
    ///
    /// # Errors
    /// [`StoreError::NoRun`], [`StoreError::Unreadable`] for a damaged or newer entry.
    pub fn run(&self, run: &RunId) -> Result<RunState, StoreError> {
        self.fold(run, None)
    }

    fn fold(&self, run: &RunId, kinds: Option<&[&str]>) -> Result<RunState, StoreError> {
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
        state.leave_out_withdrawn();
        Ok(state)
    }
}

impl RunState {
    fn opened(
        id: &RunId,
        new: super::append::NewRun,
        created_ms: i64,
        last_entry: EntryNumber,
    ) -> Self {
        let speed = match new.mode {
            RunMode::Rehearsal { speed, .. } => Some(speed),
            RunMode::Real | RunMode::Imported => None,
        };
        Self {
            summary: RunSummary {
                id: id.clone(),
                title: new.plan.title.clone(),
                mode: new.mode,
                example: new.example,
                status: RunStatus::Planned,
                created_ms,
                started_ms: None,
                ended: None,
                ended_ms: None,
                balanced: false,
            },
            plan: new.plan,
            anchors: Vec::new(),
            rows: RecordedRun::default(),
            action_entries: Vec::new(),
            jar_entries: Vec::new(),
            events: Vec::new(),
            speed,
            withdrawn: BTreeSet::new(),
            outcome: None,
            balance: None,
            character: new.character,
            last_row_entry: 0,
            last_time_s: 0.0,
            last_entry,
        }
    }

    fn apply(&mut self, number: EntryNumber, stored_ms: i64, entry: Entry) {
        if matches!(
            entry,
            Entry::Readings(_) | Entry::Action(..) | Entry::Jar(_) | Entry::Withdrawn { .. }
        ) {
            self.last_row_entry = number;
        }
        match entry {
            Entry::Opened(_) | Entry::OwnStill(_) | Entry::Learned(_) | Entry::StillReset(_) => {}
            Entry::Balance(balance) => {
                self.balance = Some(*balance);
                self.summary.balanced = true;
            }
            Entry::Plan(plan) => {
                self.summary.title.clone_from(&plan.title);
                self.plan = *plan;
            }
            Entry::Started { started_ms } => {
                self.summary.started_ms = Some(started_ms);
                self.summary.status = RunStatus::Running;
                self.anchors = vec![ClockAnchor { time_s: 0.0, utc_ms: started_ms }];
            }
            Entry::Clock { time_s, utc_ms } => {
                self.reach(time_s);
                self.anchors.push(ClockAnchor { time_s, utc_ms });
            }
            Entry::Readings(rows) => {
                let last_s = rows.iter().map(|row| row.0).fold(0.0, f64::max);
                self.reach(last_s);
                self.rows.readings.extend(rows);
            }
            Entry::Action(time_s, action) => {
                self.reach(time_s);
                self.rows.actions.push((time_s, action));
                self.action_entries.push(number);
            }
            Entry::Jar(jar) => self.jar(number, jar),
            Entry::Event(event) => {
                self.reach(event.time_s);
                self.events.push((number, event));
            }
            Entry::Withdrawn { entry } => drop(self.withdrawn.insert(entry)),
            Entry::Speed { time_s, speed } => {
                self.reach(time_s);
                self.speed = Some(speed);
            }
            Entry::Ended(end) => {
                self.reach(end.time_s);
                self.summary.ended = Some(end);
                self.summary.ended_ms = Some(stored_ms);
                self.summary.status = RunStatus::Ended;
            }
            Entry::Outcome(value) => self.outcome = Some(value),
        }
    }

    /// The balance of its alcohol, where no row came or went since it was worked out.
    #[must_use]
    pub fn current_balance(&self) -> Option<&AlcoholBalance> {
        let stored = self.balance.as_ref().filter(|stored| stored.upto >= self.last_row_entry);
        stored.map(|stored| &stored.balance)
    }

    fn jar(&mut self, number: EntryNumber, jar: JarRecord) {
        self.reach(jar.end_s);
        self.rows.jars.push(jar);
        self.jar_entries.push(number);
    }

    fn reach(&mut self, time_s: f64) {
        self.last_time_s = self.last_time_s.max(time_s);
    }

    fn leave_out_withdrawn(&mut self) {
        let gone = |number: &EntryNumber| self.withdrawn.contains(number);
        let mut numbers = self.action_entries.iter();
        self.rows.actions.retain(|_| !numbers.next().is_some_and(gone));
        let mut numbers = self.jar_entries.iter();
        self.rows.jars.retain(|_| !numbers.next().is_some_and(gone));
        self.action_entries.retain(|number| !self.withdrawn.contains(number));
        self.jar_entries.retain(|number| !self.withdrawn.contains(number));
    }
}
