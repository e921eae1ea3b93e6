//! What was taken back or corrected in a run, who did what, and what can still be changed.

use std::collections::{BTreeMap, BTreeSet};

use sense::Action;
use store::{EnteredUnits, Entry, EntryNumber, RunId, RunMode, Store, StoreError};

use crate::unit_words::entered_words;
use crate::wire::run::LogCanWire;

/// What was taken back or corrected in a run, and whether it is a rehearsal.
pub(crate) struct Amendments {
    pub(crate) withdrawn: BTreeMap<EntryNumber, EntryNumber>,
    pub(crate) corrected: BTreeMap<EntryNumber, EntryNumber>,
    /// Entries that came in another's place: the line of what they correct says so.
    pub(crate) in_place: BTreeSet<EntryNumber>,
    /// Who did what an entry tells, where that is known.
    pub(crate) by: BTreeMap<EntryNumber, String>,
    /// How numbers were typed, where they were converted.
    pub(crate) typed: BTreeMap<EntryNumber, String>,
    simulated: bool,
}

impl Amendments {
    /// Of that run.
    pub(crate) fn of(store: &Store, run: &RunId) -> Result<Self, StoreError> {
        let (mut withdrawn, mut corrected) = (BTreeMap::new(), BTreeMap::new());
        let (mut in_place, mut groups) = (BTreeSet::new(), BTreeMap::new());
        let (mut by, mut typed) = (BTreeMap::new(), BTreeMap::new());
        for logged in store.amendments(run)? {
            match logged.entry {
                Entry::Withdrawn { entry } => {
                    withdrawn.insert(entry, logged.number);
                    for entry in groups.get(&entry).cloned().into_iter().flatten() {
                        withdrawn.insert(entry, logged.number);
                    }
                }
                Entry::Corrected { entry } => {
                    corrected.insert(entry, logged.number + 1);
                    in_place.insert(logged.number + 1);
                }
                Entry::By { by: who, entries } => {
                    by.insert(logged.number - EntryNumber::from(entries), who);
                }
                Entry::Units(EnteredUnits::Typed(list)) => {
                    let of = logged.number - EntryNumber::from(list.entries);
                    typed.insert(of, entered_words(&list.values));
                }
                Entry::Begun(begun) => {
                    let last = logged.number + EntryNumber::from(begun.entries);
                    groups.insert(logged.number, logged.number + 1..=last);
                }
                _ => {}
            }
        }
        // What was taken back goes with what had come in its place.
        for (entry, by) in &corrected {
            if let Some(gone) = withdrawn.get(entry).copied() {
                withdrawn.entry(*by).or_insert(gone);
            }
        }
        let opened = store.entries(run, 0, 1)?;
        let simulated = opened.iter().any(|logged| match &logged.entry {
            Entry::Opened(new) => matches!(new.mode, RunMode::Rehearsal { .. }),
            _ => false,
        });
        Ok(Self { withdrawn, corrected, in_place, by, typed, simulated })
    }

    /// What can be done about an entry.
    pub(crate) fn can(&self, number: EntryNumber, entry: &Entry) -> LogCanWire {
        let holds = !self.withdrawn.contains_key(&number) && !self.corrected.contains_key(&number);
        let moves = matches!(
            entry,
            Entry::Action(
                _,
                Action::Heater { .. } | Action::TakeOff { .. } | Action::Coolant { .. }
            )
        );
        let moved = self.simulated && moves;
        let undo = matches!(
            entry,
            Entry::Action(..)
                | Entry::Jar(_)
                | Entry::Begun(_)
                | Entry::Checks(_)
                | Entry::JarSize { .. }
                | Entry::ReadByHand(..)
        );
        let correct = match entry {
            Entry::Jar(_) | Entry::ReadByHand(..) | Entry::JarSize { .. } => true,
            Entry::Action(_, action) => !matches!(
                action,
                Action::Here | Action::Seen { .. } | Action::Reset { .. } | Action::Quiet { .. }
            ),
            _ => false,
        };
        LogCanWire { undo: undo && holds && !moved, correct: correct && holds && !moved }
    }
}
