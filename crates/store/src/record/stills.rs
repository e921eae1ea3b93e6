//! What is known about each still, worked out from the lessons and changes in the log of the house.

use std::collections::BTreeSet;

use estimate::{AlcoholBalance, Character, Learned};

use super::append;
use super::beliefs;
use super::calibrated::StillCalibration;
use super::entry::{Entry, Logged};
use super::lesson::{LessonSource, StillLesson, StillReset, StoredBalance, check_name};
use super::open::Store;
use super::run_id::{EntryNumber, RunId};
use crate::error::StoreError;

/// One lesson of a still.
#[derive(Debug, Clone, PartialEq)]
pub struct Taught {
    /// Number of its entry in the log of the house.
    pub entry: EntryNumber,
    /// When it was written, milliseconds of UTC.
    pub stored_ms: i64,
    /// Where it comes from.
    pub source: LessonSource,
    /// The run of this record; none for a folder.
    pub run: Option<RunId>,
    /// What was believed before it.
    pub before: Character,
    /// What it says: the last of the history it made.
    pub learned: Option<Learned>,
    /// Where the alcohol of that run went.
    pub balance: AlcoholBalance,
}

/// A change of the still after which older runs do not count.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ResetNote {
    /// When it was written, milliseconds of UTC.
    pub stored_ms: i64,
    /// What was changed.
    pub reason: String,
    /// How many lessons ceased to count.
    pub lessons: usize,
}

/// Values of a still that several runs gave together.
#[derive(Debug, Clone, PartialEq)]
pub struct CalibratedNote {
    /// When it was written, milliseconds of UTC.
    pub stored_ms: i64,
    /// The values.
    pub calibration: StillCalibration,
}

/// What is known about a still.
#[derive(Debug, Clone, PartialEq)]
pub struct StillState {
    /// Its name, as plans have it.
    pub name: String,
    /// Whether it is the simulated still of that name, known from rehearsals only.
    pub rehearsed: bool,
    /// What is believed now; as before the first run after a reset.
    pub character: Character,
    /// The lessons that count, the oldest first; of each run only the latest.
    pub lessons: Vec<Taught>,
    /// Lessons of runs that a person left out: kept, and counted for nothing.
    pub left_out: Vec<Taught>,
    /// Its changes, the oldest first.
    pub resets: Vec<ResetNote>,
    /// The last calibration, where the still was not changed since and it was not set aside.
    pub calibrated: Option<CalibratedNote>,
    /// When its hardware was last changed, milliseconds of UTC: runs before are of another still.
    pub changed_ms: Option<i64>,
}

impl StillState {
    fn new(name: &str, rehearsed: bool) -> Self {
        Self {
            name: name.to_owned(),
            rehearsed,
            character: Character::default(),
            lessons: Vec::new(),
            left_out: Vec::new(),
            resets: Vec::new(),
            calibrated: None,
            changed_ms: None,
        }
    }

    /// Whether a run of that title and start counts already.
    #[must_use]
    pub fn knows(&self, title: &str, start: &str) -> bool {
        self.character.history.iter().any(|one| one.title == title && one.start == start)
    }

    /// What was believed before a run taught: what it has to be taught to again when a jar is
    /// gauged later. None where a later run built on its lesson, or the still was changed since.
    #[must_use]
    pub fn before(&self, run: &RunId, ended_ms: i64) -> Option<Character> {
        if self.resets.last().is_some_and(|reset| reset.stored_ms >= ended_ms) {
            return None;
        }
        match self.lessons.iter().position(|one| one.run.as_ref() == Some(run)) {
            None => Some(self.character.clone()),
            Some(at) if at + 1 == self.lessons.len() => Some(self.lessons[at].before.clone()),
            Some(_) => None,
        }
    }

    fn take(&mut self, logged: Logged) {
        match logged.entry {
            Entry::Learned(lesson) => {
                let StillLesson { source, run, character, balance, .. } = *lesson;
                let again =
                    run.is_some() && self.lessons.last().is_some_and(|last| last.run == run);
                let before = match self.lessons.pop_if(|_| again) {
                    Some(last) => last.before,
                    None => self.character.clone(),
                };
                let (entry, stored_ms) = (logged.number, logged.stored_ms);
                let learned = character.history.last().cloned();
                self.lessons.push(Taught {
                    entry,
                    stored_ms,
                    source,
                    run,
                    before,
                    learned,
                    balance,
                });
                self.character = character;
            }
            Entry::StillReset(reset) => {
                self.begin_anew(logged.stored_ms, reset.reason);
                self.calibrated = None;
                self.changed_ms = Some(logged.stored_ms);
            }
            Entry::CalibrationDropped(dropped) => {
                let reason = format!("calibration set aside, {}", dropped.reason);
                self.begin_anew(logged.stored_ms, reason);
                self.calibrated = None;
            }
            Entry::Calibrated(calibration) => {
                // Lessons are ratios to what was stated before.
                let reason = format!("calibrated on {} runs", calibration.runs.len());
                self.begin_anew(logged.stored_ms, reason);
                let (stored_ms, calibration) = (logged.stored_ms, *calibration);
                self.calibrated = Some(CalibratedNote { stored_ms, calibration });
            }
            _ => {}
        }
    }

    /// From here on older lessons do not count.
    fn begin_anew(&mut self, stored_ms: i64, reason: String) {
        let lessons = std::mem::take(&mut self.lessons).len();
        self.character = Character::default();
        self.resets.push(ResetNote { stored_ms, reason, lessons });
    }

    /// Works out what is believed without the runs that are left out: from what was believed
    /// before the first of them, each later run adds what it said alone.
    fn leave_out(&mut self, runs: &BTreeSet<RunId>) {
        let is_out = |taught: &Taught| taught.run.as_ref().is_some_and(|run| runs.contains(run));
        let Some(first) = self.lessons.iter().position(is_out) else { return };
        let mut character = self.lessons[first].before.clone();
        let stated = self.lessons[first].learned.as_ref().map_or(Vec::new(), beliefs::before);
        for taught in self.lessons.split_off(first) {
            if is_out(&taught) {
                self.left_out.push(taught);
                continue;
            }
            let before = character.clone();
            if let Some(learned) = &taught.learned {
                character = beliefs::told(character, learned, &stated);
            }
            self.lessons.push(Taught { before, ..taught });
        }
        self.character = character;
    }
}

/// The still an entry of the house is about.
fn about(entry: &Entry) -> Option<(&str, bool)> {
    match entry {
        Entry::Learned(lesson) => Some((&lesson.still, lesson.source.is_rehearsed())),
        Entry::StillReset(reset) => Some((&reset.still, reset.rehearsed)),
        Entry::Calibrated(calibration) => Some((&calibration.still.name, false)),
        Entry::CalibrationDropped(dropped) => Some((&dropped.still, false)),
        _ => None,
    }
}

impl Store {
    /// Keeps what a run taught about a still and, where the run is of this record, its balance
    /// with the run: both or neither. Gives the number of the lesson in the log of the house.
    ///
    /// # Errors
    /// [`StoreError::NoRun`], [`StoreError::Entry`] for a name, number or run that cannot be;
    /// else as [`Store::append`].
    pub fn learn(&self, lesson: &StillLesson, now_ms: i64) -> Result<EntryNumber, StoreError> {
        let last = self.writing(|transaction| {
            if let Some(run) = &lesson.run {
                let (upto, balance) = (lesson.upto, lesson.balance.clone());
                let entry = Entry::Balance(Box::new(StoredBalance { upto, balance }));
                append::add(transaction, run, &[(now_ms, entry)], now_ms)?;
            }
            let entry = Entry::Learned(Box::new(lesson.clone()));
            append::add_to_house(transaction, entry, now_ms)
        })?;
        Ok(last.number)
    }

    /// From now on older runs of this still do not count; they stay in the record.
    ///
    /// # Errors
    /// [`StoreError::NoStill`] for a still of which nothing is known, [`StoreError::Entry`] for
    /// an empty reason; else as [`Store::append`].
    pub fn reset_still(
        &self,
        still: &str,
        rehearsed: bool,
        reason: &str,
        now_ms: i64,
    ) -> Result<EntryNumber, StoreError> {
        if self.still(still, rehearsed)?.is_none() {
            return Err(StoreError::NoStill { still: crate::rows::shown(still) });
        }
        let reset = StillReset { still: still.to_owned(), rehearsed, reason: reason.to_owned() };
        self.say_in_house(Entry::StillReset(Box::new(reset)), now_ms)
    }

    /// Every still that something was learned about, in the order in which that began.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] for a damaged or newer entry.
    pub fn stills(&self) -> Result<Vec<StillState>, StoreError> {
        self.stills_that(|_, _| true)
    }

    /// What is known about the real still of that name, or about the simulated one.
    ///
    /// # Errors
    /// [`StoreError::Entry`] for a text that names no still, [`StoreError::Unreadable`] for a
    /// damaged or newer entry.
    pub fn still(&self, name: &str, rehearsed: bool) -> Result<Option<StillState>, StoreError> {
        check_name(name)?;
        let found = self.stills_that(|still, of| still == name && of == rehearsed)?;
        Ok(found.into_iter().next())
    }

    /// What is believed of the real still of that name; none before its first run counts.
    ///
    /// # Errors
    /// As [`Store::still`].
    pub fn character(&self, name: &str) -> Result<Option<Character>, StoreError> {
        let Some(state) = self.still(name, false)? else { return Ok(None) };
        let taught_ms = state.lessons.last().map(|last| last.stored_ms);
        let known = self.without_calibrated(name, state.character, taught_ms)?;
        Ok(Some(known).filter(|character| !character.beliefs.is_empty()))
    }

    fn stills_that(
        &self,
        wanted: impl Fn(&str, bool) -> bool,
    ) -> Result<Vec<StillState>, StoreError> {
        let mut stills: Vec<StillState> = Vec::new();
        let kinds = ["learned", "still_reset", "calibrated", "calibration_dropped"];
        self.for_each_of_house(&kinds, |logged| {
            let Some((name, rehearsed)) = about(&logged.entry) else { return Ok(()) };
            if !wanted(name, rehearsed) {
                return Ok(());
            }
            let is_it = |state: &StillState| state.name == name && state.rehearsed == rehearsed;
            if let Some(at) = stills.iter().position(is_it) {
                stills[at].take(logged);
            } else {
                let mut state = StillState::new(name, rehearsed);
                state.take(logged);
                stills.push(state);
            }
            Ok(())
        })?;
        let left_out = self.left_out()?;
        for state in &mut stills {
            state.leave_out(&left_out);
        }
        Ok(stills)
    }
}
