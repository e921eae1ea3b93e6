//! Washes in the record: each a log of its own, opened, written to, listed, taken in from a folder.

use std::sync::PoisonError;

use ferment::Recipe;
use quantities::TypedValue;

use super::append;
use super::entry::Entry;
use super::open::Store;
use super::run_id::{EntryNumber, RunId};
use super::units::EnteredUnits;
use super::wash_entry::{
    FLOAT_ROWS_MAX, WashBy, WashDone, WashEntry, WashFloated, WashRead, WashRecipe,
};
use super::wash_state::{WashState, ms};
use crate::error::StoreError;
use crate::folder::{WASH_HOURS_MAX, WashFolder};

/// Most washes of a record (judgement: years of a small house).
const WASHES_MAX: usize = 1000;
/// Most rows that are taken in with a folder, and in one wash (judgement: a row every 3 minutes for
/// 100 days).
const ROWS_MAX: usize = 50_000;
/// How far before the yeast a reading may lie, h: the first gravity is often read before.
const BEFORE_PITCH_H: f64 = 24.0;
/// A clock beside this one may be ahead by so much, ms (judgement).
const AHEAD_MAX_MS: i64 = 5 * 60_000;

/// Most washes that are kept as they were read, the last ones (judgement: those that ferment at once).
const FOLDED_MAX: usize = 8;
/// Most lines of one that is kept so (judgement: some megabytes of all of them).
const FOLDED_LINES_MAX: usize = 20_000;

impl Store {
    /// Opens a wash; one whose key is known is given back.
    ///
    /// # Errors
    /// [`StoreError::Recipe`], [`StoreError::Entry`] for a recipe that cannot be or has no start;
    /// else as [`Store::append`].
    pub fn open_wash(&self, recipe: Recipe, by: WashBy, now_ms: i64) -> Result<RunId, StoreError> {
        let folder =
            WashFolder { recipe, readings: Vec::new(), float: Vec::new(), acts: Vec::new() };
        self.take_wash_in(folder, by, now_ms)
    }

    /// As [`Store::open_wash`], with how the numbers of the recipe were typed.
    ///
    /// # Errors
    /// As [`Store::open_wash`].
    pub fn open_wash_typed(
        &self,
        recipe: Recipe,
        typed: Vec<TypedValue>,
        by: WashBy,
        now_ms: i64,
    ) -> Result<RunId, StoreError> {
        let id = self.open_wash(recipe, by, now_ms)?;
        // Sent again, the wash is there already and has its units.
        if let Some(units) = EnteredUnits::after(typed).filter(|_| self.length(&id).ok() == Some(1))
        {
            self.append_all(&id, &[(now_ms, Entry::Units(units))], now_ms)?;
        }
        Ok(id)
    }

    /// Takes a wash folder into the record, whole or not at all.
    ///
    /// # Errors
    /// As [`Store::open_wash`]; [`StoreError::AlreadyThere`] for a wash with the same recipe, start
    /// and rows.
    pub fn take_wash_in(
        &self,
        folder: WashFolder,
        by: WashBy,
        now_ms: i64,
    ) -> Result<RunId, StoreError> {
        let rows = folder.readings.len() + folder.float.len() + folder.acts.len();
        if rows > ROWS_MAX {
            let (value, bound) = (rows.to_string(), "must be 50000 rows at most");
            return Err(StoreError::Entry { field: "rows", value, bound });
        }
        let all = self.washes()?;
        let known = by.key.as_ref().and_then(|key| {
            let of = |wash: &&WashState| wash.keys.get(key) == Some(&1);
            all.iter().find(of)
        });
        if let Some(known) = known {
            return Ok(known.id.clone());
        }
        if all.len() >= WASHES_MAX {
            let (value, bound) = (format!("{} washes", all.len() + 1), "must be 1000 at most");
            return Err(StoreError::Entry { field: "wash", value, bound });
        }
        let same = all.iter().find(|wash| rows > 0 && wash.folder() == folder);
        if let Some(same) = same {
            let (run, title) = (same.id.to_string(), same.recipe.title.clone());
            return Err(StoreError::AlreadyThere { run, title });
        }
        let reason = String::new();
        let new = WashRecipe { recipe: folder.recipe.clone(), reason, by: by.clone() };
        let opening = Entry::Wash(Box::new(WashEntry::Opened(new)));
        // Before its start is read, the recipe is checked.
        opening.check()?;
        let (start_ms, _) = super::wash_entry::pitched(&folder.recipe)?;
        must_not_be_ahead(start_ms, now_ms)?;
        let by = WashBy { key: None, ..by };
        let entries = entries_of(folder, start_ms, &by);
        let opened = self.writing(|transaction| {
            let opened = append::open_log(transaction, RunId::WASH, &opening, now_ms)?;
            append::add(transaction, &RunId::new(&opened.run), &entries, now_ms)
        })?;
        Ok(RunId(opened.run))
    }

    /// The washes, oldest first, with all that is written of them.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] for a damaged or newer entry.
    pub fn washes(&self) -> Result<Vec<WashState>, StoreError> {
        self.wash_lengths()?.iter().map(|(id, _)| self.wash(id)).collect()
    }

    /// A wash as it stands.
    ///
    /// # Errors
    /// [`StoreError::NoWash`], [`StoreError::Unreadable`] for a damaged or newer entry.
    pub fn wash(&self, id: &RunId) -> Result<WashState, StoreError> {
        let nobody = || StoreError::NoWash { wash: crate::rows::shown(id.as_str()) };
        if !id.is_wash() {
            return Err(nobody());
        }
        let mut state = self.folded(id);
        let after = state.as_ref().map_or(0, |state| state.last_entry);
        let read = self.for_each_entry_after(id, after, |logged| {
            let entry = match (logged.entry, &mut state) {
                (Entry::Wash(entry), _) => entry,
                (Entry::Units(EnteredUnits::Typed(list)), Some(state)) => {
                    state.take_typed(logged.number, list);
                    return Ok(());
                }
                _ => return Ok(()),
            };
            match &mut state {
                None => state = Some(WashState::opened(id, *entry, logged.stored_ms)?),
                Some(state) => state.take(logged.number, logged.stored_ms, *entry),
            }
            Ok(())
        });
        match (read, state) {
            (Ok(()), Some(state)) => {
                self.keep_folded(&state);
                Ok(state)
            }
            (Err(StoreError::NoRun { .. }), _) | (Ok(()), None) => Err(nobody()),
            (Err(error), _) => Err(error),
        }
    }

    /// How many entries each wash has, by its name in the record, oldest first.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub fn wash_lengths(&self) -> Result<Vec<(RunId, EntryNumber)>, StoreError> {
        let connection = self.reader();
        let mut statement = connection.prepare_cached(
            "SELECT run_id, entries FROM head WHERE substr(run_id, 1, 5) = $1 ORDER BY ordinal",
        )?;
        let rows =
            statement.query_map([RunId::WASH], |row| Ok((RunId(row.get(0)?), row.get(1)?)))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// A wash as far as it was read before: what is written behind that is all there is to read.
    fn folded(&self, id: &RunId) -> Option<WashState> {
        let kept = self.folded.lock().unwrap_or_else(PoisonError::into_inner);
        kept.iter().find(|state| state.id == *id).cloned()
    }

    fn keep_folded(&self, state: &WashState) {
        let mut kept = self.folded.lock().unwrap_or_else(PoisonError::into_inner);
        kept.retain(|one| one.id != state.id);
        if kept.len() == FOLDED_MAX {
            kept.remove(0);
        }
        if state.lines.len() <= FOLDED_LINES_MAX {
            kept.push(state.clone());
        }
    }

    /// Writes entries into the log of a wash as one act, all or none; gives the wash as it stands
    /// then. Entries whose first key is known change nothing.
    ///
    /// # Errors
    /// [`StoreError::NoWash`], [`StoreError::WashOver`] for rows of one that ended,
    /// [`StoreError::Entry`] and [`StoreError::Row`] naming what cannot be.
    pub fn write_wash(
        &self,
        id: &RunId,
        entries: Vec<WashEntry>,
        now_ms: i64,
    ) -> Result<WashState, StoreError> {
        self.write_wash_typed(id, entries, Vec::new(), now_ms)
    }

    /// As [`Store::write_wash`], with how the numbers of the last entry were typed.
    ///
    /// # Errors
    /// As [`Store::write_wash`].
    pub fn write_wash_typed(
        &self,
        id: &RunId,
        entries: Vec<WashEntry>,
        typed: Vec<TypedValue>,
        now_ms: i64,
    ) -> Result<WashState, StoreError> {
        let state = self.wash(id)?;
        let key = entries.first().and_then(|entry| entry.by().key.as_ref());
        if key.is_some_and(|key| state.keys.contains_key(key)) {
            return Ok(state);
        }
        for entry in &entries {
            state.judge(entry, now_ms)?;
        }
        let logged =
            |entry: WashEntry| (entry.at_ms().unwrap_or(now_ms), Entry::Wash(Box::new(entry)));
        let mut entries: Vec<(i64, Entry)> = entries.into_iter().map(logged).collect();
        entries.extend(EnteredUnits::after(typed).map(|units| (now_ms, Entry::Units(units))));
        self.append_all(id, &entries, now_ms)?;
        self.wash(id)
    }
}

impl WashState {
    /// Whether an entry could join the wash as it stands.
    ///
    /// # Errors
    /// As [`Store::write_wash`].
    pub fn judge(&self, entry: &WashEntry, now_ms: i64) -> Result<(), StoreError> {
        entry.check()?;
        may_join(self, entry, now_ms)
    }
}

fn must_not_be_ahead(at_ms: i64, now_ms: i64) -> Result<(), StoreError> {
    if at_ms <= now_ms.saturating_add(AHEAD_MAX_MS) {
        return Ok(());
    }
    let bound = "must not be ahead of now";
    Err(StoreError::Entry { field: "at", value: "ahead".into(), bound })
}

/// Refuses what cannot join a wash as it stands.
fn may_join(state: &WashState, entry: &WashEntry, now_ms: i64) -> Result<(), StoreError> {
    let gone = match entry {
        WashEntry::Withdrawn(gone) => Some(gone.entry),
        WashEntry::Read(one) => one.corrects,
        WashEntry::Done(one) => one.corrects,
        _ => None,
    };
    if let Some(gone) = gone {
        let line = state.standing(gone).ok_or_else(|| StoreError::Entry {
            field: "entry",
            value: gone.to_string(),
            bound: "must be the number of a reading, an act or an end of this wash that stands",
        })?;
        let alike = line.entry.kind() == entry.kind() || matches!(entry, WashEntry::Withdrawn(_));
        if !alike {
            let bound = "must be corrected by one of its own kind";
            let value = line.entry.kind().into();
            return Err(StoreError::Entry { field: "entry", value, bound });
        }
    }
    let opens_again = gone.is_some() && gone == state.ended.as_ref().map(|ended| ended.0);
    if state.ended.is_some() && !opens_again {
        return Err(StoreError::WashOver { wash: state.recipe.title.clone() });
    }
    if let WashEntry::Recipe(one) = entry {
        let (start_ms, _) = super::wash_entry::pitched(&one.recipe)?;
        return must_not_be_ahead(start_ms, now_ms);
    }
    if let WashEntry::Floated(one) = entry {
        let there = state.folder().float.len();
        if there + one.rows.len() > ROWS_MAX {
            let (value, bound) = ((there + one.rows.len()).to_string(), "must be 50000 at most");
            return Err(StoreError::Entry { field: "rows", value, bound });
        }
        return one.rows.iter().try_for_each(|row| may_be_of(state, row.0, now_ms));
    }
    entry.at_ms().map_or(Ok(()), |at_ms| may_be_of(state, at_ms, now_ms))
}

/// Refuses a moment at which the wash was not there.
fn may_be_of(state: &WashState, at_ms: i64, now_ms: i64) -> Result<(), StoreError> {
    must_not_be_ahead(at_ms, now_ms)?;
    let (first, last) = (state.moment(-BEFORE_PITCH_H), state.moment(WASH_HOURS_MAX));
    if (first..=last).contains(&at_ms) {
        return Ok(());
    }
    let value = crate::time::format_start(at_ms, state.zone_minutes).unwrap_or_default();
    let bound = "must lie between a day before the yeast was pitched and 100 days after";
    Err(StoreError::Entry { field: "at", value, bound })
}

/// The entries of a folder with the times they were measured at.
fn entries_of(folder: WashFolder, start_ms: i64, by: &WashBy) -> Vec<(i64, Entry)> {
    let at = |hours: f64| start_ms.saturating_add(ms(hours));
    let mut entries = Vec::new();
    let mut put = |at_ms: i64, entry| entries.push((at_ms, Entry::Wash(Box::new(entry))));
    for (hours, row) in folder.readings {
        let (at_ms, by) = (at(hours), by.clone());
        put(at_ms, WashEntry::Read(WashRead { at_ms, row, corrects: None, units: Vec::new(), by }));
    }
    for (hours, row) in folder.acts {
        let (at_ms, by) = (at(hours), by.clone());
        put(at_ms, WashEntry::Done(WashDone { at_ms, row, corrects: None, by }));
    }
    for chunk in folder.float.chunks(FLOAT_ROWS_MAX) {
        let rows: Vec<_> = chunk.iter().map(|(hours, row)| (at(*hours), *row)).collect();
        let last_ms = rows.last().map_or(start_ms, |row| row.0);
        put(last_ms, WashEntry::Floated(WashFloated { rows, units: Vec::new(), by: by.clone() }));
    }
    entries
}
