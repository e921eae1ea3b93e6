//! The part of a run's record that the page shows: what was done and said, with entry numbers.

use std::collections::BTreeMap;
use std::sync::Arc;

use advise::Event;
use alcoholometry::gauge::{GaugeInput, Scale, gauge};
use sense::{Action, JarRecord, Reading};
use store::rows::{ActionRow, ReadingRow};
use store::{CheckList, RunState};

use super::command::Said;
use super::keys::{Brought, Keys};
use crate::wire::event::EventWire;
use crate::wire::record::ActionRowWire;
use crate::wire::run::{ChecksWire, GaugeRowWire, HandReadingWire, SignedWire};

/// Most events that are sent again to one who comes back; beyond that they reload.
const MISSED_MAX: usize = 1000;

/// Something that was recorded and holds.
#[derive(Debug, Clone)]
pub(crate) enum Held {
    /// Something was done.
    Action(f64, Action),
    /// A jar was measured.
    Jar(JarRecord),
    /// The check list was signed, at this time, ms UTC.
    Checks(CheckList, i64),
    /// The jars hold so much, mL.
    JarSize(f64),
    /// A person read something, as it was entered.
    Reading(f64, Reading),
}

/// What became of an entry that does not hold any more.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Gone {
    /// It was not so.
    TakenBack,
    /// That entry holds in its place.
    Corrected(u64),
}

/// It, and its entry.
#[derive(Debug, Clone)]
pub(crate) struct Noted {
    /// Number of the entry.
    pub(crate) entry: u64,
    /// What was recorded.
    pub(crate) what: Held,
}

impl Noted {
    /// Something that was done.
    pub(crate) const fn action(entry: u64, time_s: f64, action: Action) -> Self {
        Self { entry, what: Held::Action(time_s, action) }
    }
}

/// A step that was begun as one act.
#[derive(Debug, Clone)]
pub(crate) struct Group {
    /// The entry that says so.
    pub(crate) begun: u64,
    /// The entries that are this act.
    pub(crate) entries: Vec<u64>,
}

/// What was done and said.
#[derive(Debug, Default)]
pub(crate) struct Log {
    /// What was recorded and holds.
    pub(crate) noted: Vec<Noted>,
    /// What does not hold any more.
    pub(crate) gone: BTreeMap<u64, Gone>,
    /// Steps begun as one act, that hold.
    pub(crate) groups: Vec<Group>,
    /// Keys of requests.
    pub(crate) keys: Keys,
    /// Events.
    pub(crate) events: Vec<(u64, EventWire)>,
    /// What the person calls the run.
    pub(crate) title: String,
    /// Why it was given up.
    pub(crate) abandoned: Option<String>,
    /// Number of the last entry.
    pub(crate) last_entry: u64,
}

/// The entry number of the store, which counts from 1, for the wire.
pub(crate) fn number(entry: store::EntryNumber) -> u64 {
    u64::try_from(entry).unwrap_or_default()
}

impl Log {
    /// What the record has of a run.
    pub(crate) fn of(state: &RunState) -> Self {
        let actions = state.rows.actions.iter().zip(&state.action_entries);
        let actions =
            actions.map(|((t, act), entry)| Noted::action(number(*entry), *t, act.clone()));
        let jars = state.rows.jars.iter().zip(&state.jar_entries);
        let jars = jars.map(|(jar, entry)| (*entry, Held::Jar(jar.clone())));
        let checks = state.checks.iter();
        let checks = checks.map(|(entry, list, ms)| (*entry, Held::Checks(list.clone(), *ms)));
        let sizes = state.jar_sizes.iter().map(|(entry, ml)| (*entry, Held::JarSize(*ml)));
        let read = state.read_by_hand.iter();
        let read = read.map(|(entry, time_s, row)| (*entry, Held::Reading(*time_s, *row)));
        let others = jars.chain(checks).chain(sizes).chain(read);
        let others = others.map(|(entry, what)| Noted { entry: number(entry), what });
        let mut noted: Vec<Noted> = actions.chain(others).collect();
        noted.sort_by_key(|noted| noted.entry);
        let holds = |group: &&store::BegunGroup| !state.withdrawn.contains(&group.begun);
        let groups = state.groups.iter().filter(holds).map(|group| {
            let mut entries: Vec<store::EntryNumber> = group.entries.clone().collect();
            // What took the place of one of them belongs to it: later ones were corrected again.
            for (corrected, by) in &state.corrected {
                if entries.contains(corrected) {
                    entries.push(*by);
                }
            }
            let entries = entries.into_iter().map(number).collect();
            Group { begun: number(group.begun), entries }
        });
        let taken_back = state.withdrawn.iter().map(|entry| (number(*entry), Gone::TakenBack));
        let mut gone: BTreeMap<u64, Gone> = taken_back.collect();
        for (entry, by) in &state.corrected {
            // One that was taken back later is gone for good.
            if !state.withdrawn.contains(by) || state.corrected.contains_key(by) {
                gone.insert(number(*entry), Gone::Corrected(number(*by)));
            }
        }
        let mut keys = Keys::default();
        for (at, key) in &state.keys {
            let answered = number(*at) + u64::from(key.answer);
            let last = number(*at) + u64::from(key.entries);
            let entries = (answered..=last).collect();
            let (rows, asked) = (key.rows, key.asked.clone());
            keys.keep(key.key.clone(), Brought { entry: answered, entries, rows, asked });
        }
        let events = state.events.iter().map(|(entry, e)| (number(*entry), EventWire::from(e)));
        Self {
            noted,
            gone,
            groups: groups.collect(),
            keys,
            events: events.collect(),
            title: state.summary.title.clone(),
            abandoned: state.summary.abandoned.clone(),
            last_entry: number(state.last_entry),
        }
    }

    /// The entries that go with one: a begun step is one act.
    pub(crate) fn with(&self, entry: u64) -> Vec<u64> {
        let group =
            self.groups.iter().find(|group| group.begun == entry || group.entries.contains(&entry));
        match group {
            Some(group) => {
                let held = |entry: &&u64| self.noted.iter().any(|noted| noted.entry == **entry);
                group.entries.iter().filter(held).copied().collect()
            }
            None => self.noted.iter().filter(|n| n.entry == entry).map(|n| n.entry).collect(),
        }
    }

    /// The entry that holds in the place of one that was corrected, perhaps more than once.
    pub(crate) fn holds_instead(&self, entry: u64) -> u64 {
        let mut last = entry;
        while let Some(Gone::Corrected(by)) = self.gone.get(&last) {
            // Each comes later than what it corrects: this ends.
            last = *by;
        }
        last
    }

    /// The number for the next jar.
    pub(crate) fn next_jar(&self) -> u32 {
        let number = |noted: &Noted| match &noted.what {
            Held::Action(_, Action::Jar { number }) => *number,
            Held::Jar(jar) => jar.number,
            _ => 0,
        };
        self.noted.iter().map(number).max().unwrap_or(0).saturating_add(1)
    }

    /// The check list that holds, each line with who signed it first and has not taken it back.
    pub(crate) fn checks(&self) -> Option<ChecksWire> {
        let mut lists = self.noted.iter().rev().filter_map(|noted| match &noted.what {
            Held::Checks(list, at_ms) => Some((noted.entry, list, *at_ms)),
            _ => None,
        });
        let (entry, last, at_ms) = lists.next()?;
        let line = |line: &String| SignedWire { line: line.clone(), by: last.by.clone(), at_ms };
        let mut signed: Vec<SignedWire> = last.ticked.iter().map(line).collect();
        // Going back, a line keeps its signature as long as each list before holds it.
        let mut still: Vec<bool> = vec![true; signed.len()];
        for (_, list, at_ms) in lists {
            for (one, holds) in signed.iter_mut().zip(&mut still) {
                *holds = *holds && list.ticked.contains(&one.line);
                if *holds {
                    (one.by, one.at_ms) = (list.by.clone(), at_ms);
                }
            }
        }
        Some(ChecksWire { ticked: last.ticked.clone(), by: last.by.clone(), entry, signed })
    }

    /// What one jar holds, mL, where it was said.
    pub(crate) fn jar_size_ml(&self) -> Option<f64> {
        self.noted.iter().rev().find_map(|noted| match noted.what {
            Held::JarSize(ml) => Some(ml),
            _ => None,
        })
    }

    /// The actions that hold, in the words of their file.
    pub(crate) fn actions(&self) -> Vec<ActionRowWire> {
        let done = |noted: &Noted| {
            let Held::Action(time_s, action) = &noted.what else { return None };
            let row = ActionRow::from(action);
            let (time_s, entry) = (*time_s, noted.entry);
            let ActionRow { action, value, unit, note } = row;
            Some(ActionRowWire { time_s, action, value, unit, note, entry })
        };
        self.noted.iter().filter_map(done).collect()
    }

    /// What a person read, as it was entered, that holds.
    pub(crate) fn read_by_hand(&self) -> Vec<HandReadingWire> {
        let read = |noted: &Noted| {
            let Held::Reading(time_s, cells) = noted.what else { return None };
            Some(HandReadingWire { entry: noted.entry, row: ReadingRow { time_s, cells } })
        };
        self.noted.iter().filter_map(read).collect()
    }

    /// The glass readings that hold, corrected; one that no liquid gives is left out.
    pub(crate) fn gauges(&self) -> Vec<GaugeRowWire> {
        let read = |noted: &Noted| {
            let Held::Action(time_s, Action::Gauge { apparent_vol, celsius }) = noted.what else {
                return None;
            };
            let is = gauge(GaugeInput::new(apparent_vol, celsius, Scale::Vol20)).ok()?;
            Some(GaugeRowWire { time_s, true_vol: is.strength_vol_20c })
        };
        self.noted.iter().filter_map(read).collect()
    }

    /// Events after `known`, the oldest first; none where there are too many.
    pub(crate) fn missed(&self, known: u64) -> Option<Vec<Said>> {
        // Who knows more than there is followed another record.
        if known > self.last_entry {
            return None;
        }
        let from = self.events.partition_point(|(entry, _)| *entry <= known);
        let missed = &self.events[from..];
        let said = |(entry, event): &(u64, EventWire)| Said::Event(*entry, json(event));
        (missed.len() <= MISSED_MAX).then(|| missed.iter().map(said).collect())
    }

    /// Adds an event.
    pub(crate) fn event(&mut self, entry: u64, event: &Event) -> Said {
        let event = EventWire::from(event);
        let said = Said::Event(entry, json(&event));
        self.events.push((entry, event));
        said
    }
}

/// A value of the wire as text.
pub(crate) fn json(value: &impl serde::Serialize) -> Arc<str> {
    serde_json::to_string(value)
        .expect("types of the wire have text keys and no maps of others")
        .into()
}
