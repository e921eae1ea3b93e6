//! A wash as it stands, worked out from its log: what holds, what was struck through, and the log as
//! the forecast and a folder take it.

use std::collections::BTreeMap;

use ferment::{Log, Recipe, Tasted};
use quantities::TypedValue;

use super::run_id::{EntryNumber, RunId};
use super::units::TypedUnits;
use super::wash_entry::{WashEnd, WashEntry, pitched};
use crate::error::StoreError;
use crate::folder::WashFolder;

/// Milliseconds of an hour.
const HOUR_MS: f64 = 3_600_000.0;
/// Steps of an hour in which moments are told: a third of a second.
const HOUR_STEPS: f64 = 10_000.0;

/// Why an entry does not hold any more.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Struck {
    /// Another entry stands in its place.
    Corrected(EntryNumber),
    /// It was taken back: why, and who said so.
    Withdrawn(String, Option<String>),
}

/// One line of the log of a wash.
#[derive(Debug, Clone, PartialEq)]
pub struct WashLine {
    /// Its entry.
    pub number: EntryNumber,
    /// When it happened, milliseconds of UTC.
    pub at_ms: i64,
    /// When it was written, milliseconds of UTC.
    pub stored_ms: i64,
    /// What.
    pub entry: WashEntry,
    /// Why it does not hold any more.
    pub struck: Option<Struck>,
    /// Its numbers as they were typed, where that was in other units.
    pub typed: Vec<TypedValue>,
}

/// A wash as it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct WashState {
    /// Its name in the record.
    pub id: RunId,
    /// The recipe in force.
    pub recipe: Recipe,
    /// When the yeast was pitched, milliseconds of UTC.
    pub pitched_ms: i64,
    /// The zone of that, minutes east of UTC.
    pub zone_minutes: i32,
    /// All entries in the order of writing.
    pub lines: Vec<WashLine>,
    /// How it ended, where it did and that holds.
    pub ended: Option<(EntryNumber, WashEnd)>,
    /// Number of the last entry.
    pub last_entry: EntryNumber,
    /// Requests by their key.
    pub(super) keys: BTreeMap<String, EntryNumber>,
}

impl WashState {
    /// A wash of which nothing is in the record: its recipe alone.
    ///
    /// # Errors
    /// [`StoreError::Entry`] for a recipe without a start.
    pub fn planned(recipe: &Recipe) -> Result<Self, StoreError> {
        let (pitched_ms, zone_minutes) = pitched(recipe)?;
        Ok(Self {
            id: RunId::new(RunId::WASH),
            recipe: recipe.clone(),
            pitched_ms,
            zone_minutes,
            lines: Vec::new(),
            ended: None,
            last_entry: 0,
            keys: BTreeMap::new(),
        })
    }

    /// A wash from its first entry.
    pub(super) fn opened(id: &RunId, entry: WashEntry, stored_ms: i64) -> Result<Self, StoreError> {
        let unreadable = |what: &str| StoreError::Unreadable {
            run: id.to_string(),
            entry: 1,
            what: what.to_owned(),
        };
        let WashEntry::Opened(new) = &entry else {
            return Err(unreadable("the wash does not begin with its recipe"));
        };
        let planned = Self::planned(&new.recipe).map_err(|error| unreadable(&error.to_string()))?;
        let mut state = Self { id: id.clone(), ..planned };
        state.take(1, stored_ms, entry);
        Ok(state)
    }

    /// Takes the next entry.
    pub(super) fn take(&mut self, number: EntryNumber, stored_ms: i64, entry: WashEntry) {
        if let Some(key) = entry.by().key.clone() {
            self.keys.insert(key, number);
        }
        match &entry {
            WashEntry::Recipe(one) => {
                // What was written was checked.
                (self.pitched_ms, self.zone_minutes) =
                    pitched(&one.recipe).unwrap_or((self.pitched_ms, self.zone_minutes));
                self.recipe = one.recipe.clone();
            }
            WashEntry::Withdrawn(gone) => {
                let by = gone.by.by.clone();
                self.strike(gone.entry, Struck::Withdrawn(gone.reason.clone(), by));
            }
            WashEntry::Read(one) => self.correct(one.corrects, number),
            WashEntry::Done(one) => self.correct(one.corrects, number),
            WashEntry::Ended(end) => self.ended = Some((number, end.clone())),
            WashEntry::Opened(_) | WashEntry::Floated(_) => {}
        }
        let at_ms = entry.at_ms().unwrap_or(stored_ms);
        self.lines.push(WashLine {
            number,
            at_ms,
            stored_ms,
            entry,
            struck: None,
            typed: Vec::new(),
        });
        self.last_entry = number;
    }

    /// Takes how the numbers of an entry before this one were typed.
    pub(super) fn take_typed(&mut self, number: EntryNumber, list: TypedUnits) {
        let of = number - EntryNumber::from(list.entries);
        if let Some(line) = self.lines.iter_mut().find(|line| line.number == of) {
            line.typed = list.values;
        }
        self.last_entry = number;
    }

    fn correct(&mut self, gone: Option<EntryNumber>, by: EntryNumber) {
        if let Some(gone) = gone {
            self.strike(gone, Struck::Corrected(by));
        }
    }

    fn strike(&mut self, gone: EntryNumber, why: Struck) {
        if let Some(line) = self.lines.iter_mut().find(|line| line.number == gone) {
            line.struck = Some(why);
        }
        if self.ended.as_ref().is_some_and(|(number, _)| *number == gone) {
            self.ended = None;
        }
    }

    /// The line of an entry that can be struck through and was not yet.
    pub(super) fn standing(&self, number: EntryNumber) -> Option<&WashLine> {
        let strikable = |line: &&WashLine| {
            let entry = &line.entry;
            let kind = matches!(
                entry,
                WashEntry::Read(_)
                    | WashEntry::Done(_)
                    | WashEntry::Floated(_)
                    | WashEntry::Ended(_)
            );
            line.number == number && line.struck.is_none() && kind
        };
        self.lines.iter().find(strikable)
    }

    /// Hours from pitching of a moment, as folder and forecast have them: never before it.
    #[must_use]
    pub fn hours(&self, at_ms: i64) -> f64 {
        let hours = (at_ms - self.pitched_ms) as f64 / HOUR_MS;
        (hours.max(0.0) * HOUR_STEPS).round() / HOUR_STEPS
    }

    /// The moment of an hour from pitching, milliseconds of UTC.
    #[must_use]
    pub fn moment(&self, hours: f64) -> i64 {
        self.pitched_ms.saturating_add(ms(hours))
    }

    /// The wash as a folder holds it: what stands, in the order of time.
    #[must_use]
    pub fn folder(&self) -> WashFolder {
        let (mut readings, mut float, mut acts) = (Vec::new(), Vec::new(), Vec::new());
        for line in self.lines.iter().filter(|line| line.struck.is_none()) {
            match &line.entry {
                WashEntry::Read(one) => readings.push((self.hours(one.at_ms), one.row.clone())),
                WashEntry::Done(one) => acts.push((self.hours(one.at_ms), one.row.clone())),
                WashEntry::Floated(one) => {
                    float.extend(one.rows.iter().map(|(at_ms, row)| (self.hours(*at_ms), *row)));
                }
                _ => {}
            }
        }
        readings.sort_by(|a, b| a.0.total_cmp(&b.0));
        float.sort_by(|a, b| a.0.total_cmp(&b.0));
        acts.sort_by(|a, b| a.0.total_cmp(&b.0));
        WashFolder { recipe: self.recipe.clone(), readings, float, acts }
    }

    /// What was known at an hour, as the forecast takes it.
    #[must_use]
    pub fn log(&self, at_h: f64) -> Log {
        let mut log = self.folder().log();
        log.glass.retain(|row| row.time_h <= at_h);
        log.float.retain(|row| row.time_h <= at_h);
        log.acts.retain(|row| row.time_h <= at_h);
        log
    }

    /// What tongue and ear said last.
    #[must_use]
    pub fn tasted(&self) -> Tasted {
        let mut last = Tasted::default();
        for (_, row) in &self.folder().readings {
            let said = row.tasted();
            last.no_sugar = said.no_sugar.or(last.no_sugar);
            last.gas_stopped = said.gas_stopped.or(last.gas_stopped);
        }
        last
    }
}

/// Milliseconds of some hours.
pub(super) fn ms(hours: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "hours of a wash are some thousands")]
    let found = (hours * HOUR_MS).round() as i64;
    found
}
