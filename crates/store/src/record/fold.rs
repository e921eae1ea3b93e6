//! Folds the entries of a run, in their order, into the run as it stands.

use std::collections::{BTreeMap, BTreeSet};

use estimate::AlcoholBalance;
use sense::{Instruments, JarRecord, RecordedRun};

use super::entry::Entry;
use super::new_run::{NewRun, RunMode};
use super::project::{BegunGroup, ClockAnchor, RunState, RunStatus, RunSummary};
use super::run_id::{EntryNumber, RunId};
use super::units::EnteredUnits;

impl RunState {
    pub(super) fn opened(
        id: &RunId,
        new: NewRun,
        created_ms: i64,
        last_entry: EntryNumber,
    ) -> Self {
        let speed = match new.mode {
            RunMode::Rehearsal { speed, .. } => Some(speed),
            RunMode::Real | RunMode::Imported => None,
        };
        // A folder holds a run that is over.
        let over = new.mode == RunMode::Imported;
        let status = if over { RunStatus::Ended } else { RunStatus::Planned };
        Self {
            summary: RunSummary {
                id: id.clone(),
                title: new.plan.title.clone(),
                mode: new.mode,
                example: new.example,
                status,
                created_ms,
                started_ms: None,
                ended: None,
                ended_ms: None,
                balanced: false,
                zone_offset_minutes: crate::time::parse_start(&new.plan.start)
                    .map_or(0, |(_, minutes)| minutes),
                still: new.plan.still.name.clone(),
                litres: new.plan.charge.litres,
                abandoned: None,
                origin: new.origin,
                counts: true,
            },
            plan: new.plan,
            anchors: Vec::new(),
            rows: RecordedRun::default(),
            action_entries: Vec::new(),
            jar_entries: Vec::new(),
            read_by_hand: Vec::new(),
            events: Vec::new(),
            speed,
            withdrawn: BTreeSet::new(),
            corrected: BTreeMap::new(),
            groups: Vec::new(),
            keys: Vec::new(),
            checks: Vec::new(),
            jar_sizes: Vec::new(),
            instruments: Instruments::default(),
            fed_units: Vec::new(),
            outcome: None,
            balance: None,
            character: new.character,
            last_row_entry: 0,
            last_time_s: 0.0,
            last_entry,
        }
    }

    pub(super) fn apply(&mut self, number: EntryNumber, stored_ms: i64, entry: Entry) {
        if matches!(
            entry,
            Entry::Readings(_)
                | Entry::ReadByHand(..)
                | Entry::Action(..)
                | Entry::Jar(_)
                | Entry::Withdrawn { .. }
                | Entry::Corrected { .. }
        ) {
            self.last_row_entry = number;
        }
        match entry {
            Entry::Plan(plan) => {
                self.summary.title.clone_from(&plan.title);
                self.summary.still.clone_from(&plan.still.name);
                self.summary.litres = plan.charge.litres;
                self.plan = *plan;
            }
            Entry::Started { started_ms, steady } => {
                self.summary.started_ms = Some(started_ms);
                self.anchors = vec![ClockAnchor { time_s: 0.0, utc_ms: started_ms, steady }];
                if self.summary.status == RunStatus::Planned {
                    self.summary.status = RunStatus::Running;
                }
            }
            Entry::Clock { time_s, utc_ms, steady } => {
                self.reach(time_s);
                self.anchors.push(ClockAnchor { time_s, utc_ms, steady });
            }
            Entry::Readings(rows) => {
                let last_s = rows.iter().map(|row| row.0).fold(0.0, f64::max);
                self.reach(last_s);
                self.rows.readings.extend(rows);
            }
            Entry::ReadByHand(time_s, reading) => {
                self.reach(time_s);
                self.read_by_hand.push((number, time_s, reading));
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
            Entry::Speed { time_s, speed } => {
                self.reach(time_s);
                self.speed = Some(speed);
            }
            Entry::Outcome(value) => self.outcome = Some(value),
            other => self.amend(number, stored_ms, other),
        }
    }

    /// What changes or ends what was written before.
    fn amend(&mut self, number: EntryNumber, stored_ms: i64, entry: Entry) {
        match entry {
            Entry::Withdrawn { entry } => drop(self.withdrawn.insert(entry)),
            Entry::Corrected { entry } => drop(self.corrected.insert(entry, number + 1)),
            Entry::Begun(begun) => {
                let last = number + EntryNumber::from(begun.entries);
                let entries = number + 1..=last;
                self.groups.push(BegunGroup { begun: number, step: begun.step, entries });
            }
            Entry::Keyed(key) => self.keys.push((number, key)),
            Entry::Ended(end) => {
                self.reach(end.time_s);
                self.summary.ended = Some(end);
                // A later one has the figures after a correction; the run ended when it did.
                self.summary.ended_ms.get_or_insert(stored_ms);
                if self.summary.status != RunStatus::Abandoned {
                    self.summary.status = RunStatus::Ended;
                }
            }
            Entry::Abandoned { reason, .. } => {
                self.summary.abandoned = Some(reason);
                self.summary.status = RunStatus::Abandoned;
            }
            Entry::Named { name } => self.summary.title = name,
            Entry::Balance(balance) => {
                self.summary.balanced = balance.balance.account.is_some();
                self.balance = Some(*balance);
            }
            Entry::Checks(list) => self.checks.push((number, list, stored_ms)),
            Entry::Instruments(list) => list.put_into(&mut self.instruments),
            Entry::Units(EnteredUnits::Fed(fed)) => self.fed_units = fed.values,
            Entry::JarSize { ml, .. } => self.jar_sizes.push((number, ml)),
            // The opening was taken before; the others are of the house; rows were taken already.
            _ => {}
        }
    }

    /// The balance of its alcohol, where no row came or went since it was worked out, and where it
    /// was worked out from what was gauged.
    #[must_use]
    pub fn current_balance(&self) -> Option<&AlcoholBalance> {
        let stored = self.balance.as_ref().filter(|stored| {
            stored.upto >= self.last_row_entry && stored.balance.account.is_some()
        });
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

    /// Takes out what does not hold any more, and puts right what instruments sent.
    pub(super) fn leave_out(&mut self) {
        for group in &self.groups {
            if self.withdrawn.contains(&group.begun) {
                self.withdrawn.extend(group.entries.clone());
            }
        }
        // What was taken back goes with what had come in its place.
        for (corrected, by) in &self.corrected {
            if self.withdrawn.contains(corrected) {
                self.withdrawn.insert(*by);
            }
        }
        self.withdrawn.extend(self.corrected.keys());
        let gone = &self.withdrawn;
        self.read_by_hand.retain(|(number, ..)| !gone.contains(number));
        let read = self.read_by_hand.iter().map(|(_, time_s, reading)| (*time_s, *reading));
        self.rows.readings.extend(read);
        let instruments = &self.instruments;
        for (time_s, row) in &mut self.rows.readings {
            *row = instruments.corrected(*time_s, row);
        }
        let mut numbers = self.action_entries.iter();
        self.rows.actions.retain(|_| !numbers.next().is_some_and(|number| gone.contains(number)));
        let mut numbers = self.jar_entries.iter();
        self.rows.jars.retain(|_| !numbers.next().is_some_and(|number| gone.contains(number)));
        self.action_entries.retain(|number| !gone.contains(number));
        self.jar_entries.retain(|number| !gone.contains(number));
        self.checks.retain(|(number, ..)| !gone.contains(number));
        self.jar_sizes.retain(|(number, _)| !gone.contains(number));
    }
}
