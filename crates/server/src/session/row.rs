//! One recorded row, and the order in which an engine gets rows.

use sense::{Action, JarRecord, Reading, RecordedRun};

/// Number of an entry in the log.
pub(crate) type Entry = u64;

/// One recorded row.
#[derive(Debug, Clone)]
pub(crate) enum Row {
    /// A row of readings, and the entry that holds it where a person read it; 0 else.
    Reading(Entry, f64, Reading),
    /// An action, and the entry that holds it.
    Action(Entry, f64, Action),
    /// A jar, and the entry that holds it.
    Jar(Entry, JarRecord),
}

impl Row {
    /// Run time, s; a jar counts from when it was closed.
    pub(crate) fn time_s(&self) -> f64 {
        match self {
            Self::Reading(_, time_s, _) | Self::Action(_, time_s, _) => *time_s,
            Self::Jar(_, jar) => jar.end_s,
        }
    }

    /// Of rows with the same time, readings come first, then those of a person, actions, jars.
    fn rank(&self) -> u8 {
        match self {
            Self::Reading(0, ..) => 0,
            Self::Reading(..) => 1,
            Self::Action(..) => 2,
            Self::Jar(..) => 3,
        }
    }

    /// The order in which an engine gets rows.
    pub(crate) fn order(&self, other: &Self) -> std::cmp::Ordering {
        self.time_s().total_cmp(&other.time_s()).then(self.rank().cmp(&other.rank()))
    }

    /// As an engine takes it.
    pub(crate) fn recorded(&self) -> sense::Row<'_> {
        match self {
            Self::Reading(_, time_s, reading) => sense::Row::Reading(*time_s, reading),
            Self::Action(_, time_s, action) => sense::Row::Action(*time_s, action),
            Self::Jar(_, jar) => sense::Row::Jar(jar),
        }
    }

    pub(crate) fn entry(&self) -> Option<Entry> {
        match self {
            Self::Reading(0, ..) => None,
            Self::Reading(entry, ..) | Self::Action(entry, ..) | Self::Jar(entry, _) => {
                Some(*entry)
            }
        }
    }
}

/// The rows in the order in which an engine gets them. A stand-in's rows cannot be withdrawn, so
/// they go by no entry.
pub(super) fn in_order(rows: &RecordedRun) -> Vec<Row> {
    let readings = rows.readings.iter().map(|(time_s, reading)| Row::Reading(0, *time_s, *reading));
    let actions = rows.actions.iter().map(|(time_s, act)| Row::Action(0, *time_s, act.clone()));
    let jars = rows.jars.iter().map(|jar| Row::Jar(0, jar.clone()));
    let mut all: Vec<Row> = readings.chain(actions).chain(jars).collect();
    all.sort_by(Row::order);
    all
}
