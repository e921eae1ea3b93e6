//! What a feeder records, and what every record goes through: checked, stored, given to the engine,
//! and only then acknowledged.

use sense::{Action, Reading, SentRow};
use store::rows::{RowFault, check_time};
use store::{Entry, RequestKey, RunMode};

use super::device_clock::{Stamps, off_words};
use super::keys::{Brought, Key};
use super::row::Row;
use super::run_time::AHEAD_MAX_S;
use super::state::RunSession;
use crate::access::signed;
use crate::problem::ApiError;
use crate::wire::record::{AcceptedWire, ReadingsAsk};

/// Most rows of readings in one request.
const ROWS_MAX: usize = 5000;
/// Most rows of all kinds in one run: more than a fortnight of one every three seconds.
const RUN_ROWS_MAX: usize = 500_000;

/// Longest name of a device.
const DEVICE_CHARACTERS_MAX: usize = 60;

/// A moment in RFC 3339, ms UTC.
fn moment(field: &str, at: &str) -> Result<i64, ApiError> {
    let read = store::time::parse_start(at).map(|(utc_ms, _)| utc_ms);
    read.ok_or_else(|| {
        let bound = "must be a moment in RFC 3339";
        let hint = "as 2026-10-03T08:12:00+02:00; the offset is needed";
        ApiError::field(field, at, bound, hint)
    })
}

pub(super) fn conflict(
    code: &'static str,
    what: impl Into<String>,
    hint: &'static str,
) -> ApiError {
    ApiError::Conflict { code, what: what.into(), hint }
}

/// Whether it changes the still itself.
pub(super) fn moves_the_still(action: &Action) -> bool {
    matches!(action, Action::Heater { .. } | Action::TakeOff { .. } | Action::Coolant { .. })
}

impl RunSession {
    pub(super) fn rehearsal(&self) -> bool {
        matches!(self.mode, RunMode::Rehearsal { .. })
    }

    /// Whether the run is over; one that was imported is.
    pub(super) fn is_over(&self) -> bool {
        self.ended.is_some() || self.mode == RunMode::Imported
    }

    /// When the run ended, s.
    pub(super) fn end_s(&self) -> f64 {
        self.ended.as_ref().map_or(0.0, |end| end.time_s)
    }

    pub(super) fn must_go_on(&self) -> Result<(), ApiError> {
        if !self.is_over() {
            return Ok(());
        }
        Err(conflict("run_ended", "the run is over", "plan another run"))
    }

    pub(super) fn must_have_room(&self, rows: usize) -> Result<(), ApiError> {
        if self.engine.row_count() + rows <= RUN_ROWS_MAX {
            return Ok(());
        }
        let what = format!("the run has {RUN_ROWS_MAX} rows already");
        Err(conflict("run_full", what, "send a row every few seconds, not more often"))
    }

    /// Run time now, s. In a rehearsal the person acts between two of its seconds.
    pub(super) fn now_s(&self) -> f64 {
        match (&self.time, self.rehearsal()) {
            (None, _) => 0.0,
            (Some(_), false) => self.elapsed_ms() as f64 / 1000.0,
            (Some(_), true) => self.engine.ticked().unwrap_or(0) as f64 + 0.5,
        }
    }

    /// The run time that was told, or now.
    pub(super) fn told(&self, field: &str, time_s: Option<f64>) -> Result<f64, ApiError> {
        let now_s = self.now_s();
        let Some(time_s) = time_s else { return Ok(now_s) };
        if time_s >= 0.0 && time_s <= now_s + AHEAD_MAX_S {
            return Ok((time_s.min(now_s) * 1000.0).round() / 1000.0);
        }
        let bound = format!("must lie from 0 to {now_s:.0} s, the run time now");
        let hint = "leave time_s out for now; run time begins when the heater is recorded";
        Err(ApiError::field(field, time_s, bound, hint))
    }

    /// Refuses, once the run is over, what tells of now: what was forgotten can be entered, each at
    /// its own time.
    pub(super) fn must_be_of_the_past(&self, action: &Action) -> Result<(), ApiError> {
        let now = matches!(
            action,
            Action::Here | Action::Seen { .. } | Action::Reset { .. } | Action::Quiet { .. }
        );
        if now { self.must_go_on() } else { Ok(()) }
    }

    /// When, in a run that is over, it happened.
    pub(super) fn when_over(&self, time_s: Option<f64>) -> Result<f64, ApiError> {
        let end_s = self.end_s();
        let Some(time_s) = time_s else {
            let hint = "what was forgotten is entered with time_s, its run time";
            return Err(conflict("run_ended", "the run is over", hint));
        };
        if (0.0..=end_s).contains(&time_s) {
            return Ok((time_s * 1000.0).round() / 1000.0);
        }
        let bound = format!("must lie from 0 to {end_s:.0} s, when the run ended");
        Err(ApiError::field("time_s", time_s, bound, "give the run time at which it happened"))
    }

    /// Who acts says who they are; who was let in under a name is that one, too.
    pub(super) fn said_by(&mut self, said: Option<String>) {
        self.acting = signed(said, self.acting.as_deref());
    }

    /// Stores an act with the key of its request, and who did it where that is known. `answer` counts from 1. Gives the number of the answered entry.
    pub(super) fn write_act(
        &mut self,
        key: Option<Key>,
        mut entries: Vec<(i64, Entry)>,
        answer: u32,
        rows: Option<u32>,
    ) -> Result<u64, ApiError> {
        let count = u32::try_from(entries.len()).unwrap_or(u32::MAX);
        let by = self.acting.take();
        if let Some(by) = &by {
            let entries_before = (count + 1).saturating_sub(answer);
            let by = Entry::By { by: by.clone(), entries: entries_before };
            entries.push((self.clock.now_ms(), by));
        }
        let before = (count + 1).saturating_sub(answer) + u32::from(by.is_some());
        let typed = self.typed_entry(before);
        let beside = u64::from(by.is_some()) + u64::from(typed.is_some());
        entries.extend(typed);
        if let Some(Key { key, asked }) = key.clone() {
            let key = RequestKey { key, entries: count, answer, rows, asked: Some(asked) };
            entries.insert(0, (self.clock.now_ms(), Entry::Keyed(key)));
        }
        let last = self.write(entries)? - beside;
        let entry = last + u64::from(answer) - u64::from(count);
        if let Some(Key { key, asked }) = key {
            let entries = (entry..=last).collect();
            self.log.keys.keep(key, Brought { entry, entries, rows, asked: Some(asked) });
        }
        self.touch();
        Ok(entry)
    }

    /// Rows of readings of a real run.
    pub(super) fn read(&mut self, ask: &ReadingsAsk) -> Result<AcceptedWire, ApiError> {
        if let Some(sequence) = ask.sequence {
            let bound = "is counted by a device with a token, which posts to its still";
            return Err(ApiError::field("sequence", sequence, bound, "send a key instead"));
        }
        let cells: Vec<Reading> = ask.rows.iter().map(|row| row.cells).collect();
        let key = Key::of(ask.key.as_deref(), ("rows", cells))?;
        if let Some(known) = self.log.keys.find(key.as_ref())? {
            let accepted = known.rows.map_or(0, |rows| rows as usize);
            return Ok(AcceptedWire { accepted, entry: known.entry, clock_off_s: None });
        }
        let asked = &ask.rows;
        if self.rehearsal() {
            let hint = "begin a real run to record readings of your own";
            return Err(conflict("not_a_real_run", "a rehearsal reads its own probes", hint));
        }
        if ask.by_hand {
            return self.read_one(ask, key);
        }
        self.must_go_on()?;
        if asked.is_empty() || asked.len() > ROWS_MAX {
            let bound = format!("must have 1 to {ROWS_MAX} rows");
            let value = format!("{} rows", asked.len());
            return Err(ApiError::field("rows", value, bound, "send them in parts"));
        }
        self.must_have_room(asked.len())?;
        self.advance();
        let off_ms = self.device_off_ms(ask)?;
        let rows = self.checked(asked, off_ms)?;
        self.typed_row(&ask.entered, asked)?;
        let entry = self.take_rows(&rows, key)?;
        let clock_off_s = (off_ms != 0).then(|| off_ms as f64 / 1000.0);
        Ok(AcceptedWire { accepted: asked.len(), entry, clock_off_s })
    }

    /// Stores rows in the order of time and gives them to the engine; gives their entry.
    pub(super) fn take_rows(
        &mut self,
        rows: &[(f64, Reading)],
        key: Option<Key>,
    ) -> Result<u64, ApiError> {
        let (count, last_s) = (rows.len(), rows.last().map_or(0.0, |row| row.0));
        let entries = vec![(self.moment_ms(last_s), Entry::Readings(rows.to_vec()))];
        let entry = self.write_rows(key, entries, count)?;
        let instruments = &self.options.instruments;
        let right = |time_s: f64, row: &Reading| instruments.corrected(time_s, row);
        let rows = rows.iter().map(|(time_s, row)| Row::Reading(0, *time_s, right(*time_s, row)));
        let said = self.engine.put_all(rows.collect());
        self.say(&said);
        self.settle();
        Ok(entry)
    }

    /// Stores rows of readings; those who follow hear of them by what is known then.
    fn write_rows(
        &mut self,
        key: Option<Key>,
        mut entries: Vec<(i64, Entry)>,
        rows: usize,
    ) -> Result<u64, ApiError> {
        let rows = u32::try_from(rows).ok();
        if let Some(Key { key, asked }) = key.clone() {
            let key = RequestKey { key, entries: 1, answer: 1, rows, asked: Some(asked) };
            entries.insert(0, (self.clock.now_ms(), Entry::Keyed(key)));
        }
        let typed = self.typed_entry(1);
        let beside = u64::from(typed.is_some());
        entries.extend(typed);
        let entry = self.write(entries)? - beside;
        if let Some(Key { key, asked }) = key {
            let brought = Brought { entry, entries: vec![entry], rows, asked: Some(asked) };
            self.log.keys.keep(key, brought);
        }
        self.touch();
        Ok(entry)
    }

    /// The run time of a row: told, read off a clock, or now.
    pub(super) fn row_time(&self, i: usize, row: &SentRow, off_ms: i64) -> Result<f64, ApiError> {
        let field = format!("rows[{i}].time_s");
        let Some(at) = &row.at else { return self.told(&field, row.time_s) };
        let field = format!("rows[{i}].at");
        if row.time_s.is_some() {
            let bound = "must not be given together with time_s";
            return Err(ApiError::field(field, at, bound, "give one of them"));
        }
        let utc_ms = moment(&field, at)?.saturating_sub(off_ms);
        let Some(time_s) = self.run_time_of(utc_ms) else {
            let bound =
                "must be a moment of this run: not before the heater was on, nor ahead of now";
            return Err(ApiError::field(field, at, bound, "check the clock of the feeder"));
        };
        self.told(&field, Some(time_s))
    }

    /// What is to be taken off the stamps of a device, ms. What is new of its clock is said.
    fn device_off_ms(&mut self, ask: &ReadingsAsk) -> Result<i64, ApiError> {
        let device = ask.device.as_deref().unwrap_or_default();
        if device.chars().count() > DEVICE_CHARACTERS_MAX {
            let bound = format!("must have at most {DEVICE_CHARACTERS_MAX} characters");
            return Err(ApiError::field("device", device, bound, "call it by a short name"));
        }
        let sent = ask.sent_at.as_deref().map(|at| moment("sent_at", at)).transpose()?;
        let now_ms = self.clock.now_ms();
        let stamp = |(i, row): (usize, &SentRow)| {
            Some((store::time::parse_start(row.at.as_deref()?)?.0, i))
        };
        let newest = ask.rows.iter().enumerate().filter_map(stamp).max();
        let Some((newest_ms, i)) = newest.filter(|_| self.time.is_some()) else { return Ok(0) };
        let ahead = newest_ms > now_ms && self.run_time_of(newest_ms).is_none();
        let stamps = Stamps { sent_ms: sent, newest_ms, ahead };
        let time_s = self.now_s();
        let judged = self.devices.judge(device, stamps, now_ms, time_s);
        self.say(judged.event.as_slice());
        judged.removed_ms.map_err(|off_ms| {
            let far = off_words(off_ms);
            let bound = format!("must be a moment of this run: it is {far} this computer's clock");
            let hint = "set the device's clock, or send sent_at; where it is off alike for three \
                        requests its rows are taken with that removed";
            let at = ask.rows[i].at.as_deref().unwrap_or_default();
            ApiError::field(format!("rows[{i}].at"), at, bound, hint)
        })
    }

    fn checked(&self, asked: &[SentRow], off_ms: i64) -> Result<Vec<(f64, Reading)>, ApiError> {
        let mut rows: Vec<(f64, Reading)> = Vec::with_capacity(asked.len());
        for (i, row) in asked.iter().enumerate() {
            let time_s = self.row_time(i, row, off_ms)?;
            if rows.last().is_some_and(|before| time_s < before.0) {
                let bound = "must not be earlier than the row before";
                let hint = "rows go in the order of time";
                return Err(ApiError::field(format!("rows[{i}].time_s"), time_s, bound, hint));
            }
            let reading = row.cells;
            let outside = reading.out_of_bounds();
            let outside = outside.map(|(probe, value)| RowFault::of_cell(probe, value));
            if let Some(fault) = check_time("time_s", time_s).err().or(outside) {
                let field = format!("rows[{i}].{}", fault.column);
                return Err(ApiError::field(field, fault.value, fault.bound, fault.hint));
            }
            if reading.is_empty() {
                let bound = "must hold at least one reading";
                let hint = "leave the row out where nothing was read";
                return Err(ApiError::field(format!("rows[{i}]"), "empty", bound, hint));
            }
            rows.push((time_s, reading));
        }
        Ok(rows)
    }
}
