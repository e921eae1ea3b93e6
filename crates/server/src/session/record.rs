//! What a person or a feeder records: checked, stored, given to the engine, and only then
//! acknowledged.

use sense::{Action, JarRecord, Reading};
use still::plan::StepKind;
use store::rows::{ActionRow, JarRow, ReadingRow};
use store::{Entry, RunMode};

use super::advance::SPEED_MAX;
use super::command::Said;
use super::log::{Noted, json};
use super::row::Row;
use super::run_time::{AHEAD_MAX_S, RunTime};
use super::state::{Drive, RunSession};
use crate::problem::ApiError;
use crate::wire::reading::ReadingRowWire;
use crate::wire::record::{AcceptedWire, ActionAsk, EntryWire, JarAsk, SpeedWire};

/// Most rows of readings in one request.
const ROWS_MAX: usize = 5000;
/// Most rows of all kinds in one run: more than a fortnight of one every three seconds.
const RUN_ROWS_MAX: usize = 500_000;
/// How long something recorded can be taken back, ms.
const UNDO_MS: i64 = 10_000;

fn conflict(code: &'static str, what: impl Into<String>, hint: &'static str) -> ApiError {
    ApiError::Conflict { code, what: what.into(), hint }
}

/// Whether it changes the still itself.
fn moves_the_still(action: &Action) -> bool {
    matches!(action, Action::Heater { .. } | Action::TakeOff { .. } | Action::Coolant { .. })
}

impl RunSession {
    fn rehearsal(&self) -> bool {
        matches!(self.mode, RunMode::Rehearsal { .. })
    }

    fn must_go_on(&self) -> Result<(), ApiError> {
        if self.ended.is_none() && self.mode != RunMode::Imported {
            return Ok(());
        }
        Err(conflict("run_ended", "the run is over", "plan another run"))
    }

    fn must_have_room(&self, rows: usize) -> Result<(), ApiError> {
        if self.engine.row_count() + rows <= RUN_ROWS_MAX {
            return Ok(());
        }
        let what = format!("the run has {RUN_ROWS_MAX} rows already");
        Err(conflict("run_full", what, "send a row every few seconds, not more often"))
    }

    /// Run time now, s. In a rehearsal the person acts between two of its seconds.
    fn now_s(&self) -> f64 {
        match (&self.time, self.rehearsal()) {
            (None, _) => 0.0,
            (Some(_), false) => self.elapsed_ms() as f64 / 1000.0,
            (Some(_), true) => self.engine.ticked().unwrap_or(0) as f64 + 0.5,
        }
    }

    /// The run time that was told, or now.
    fn told(&self, field: &str, time_s: Option<f64>) -> Result<f64, ApiError> {
        let now_s = self.now_s();
        let Some(time_s) = time_s else { return Ok(now_s) };
        if time_s >= 0.0 && time_s <= now_s + AHEAD_MAX_S {
            return Ok((time_s.min(now_s) * 1000.0).round() / 1000.0);
        }
        let bound = format!("must lie from 0 to {now_s:.0} s, the run time now");
        let hint = "leave time_s out for now; run time begins when the heater is recorded";
        Err(ApiError::field(field, time_s, bound, hint))
    }

    /// Rows of readings of a real run.
    pub(super) fn read(&mut self, asked: &[ReadingRowWire]) -> Result<AcceptedWire, ApiError> {
        self.must_go_on()?;
        if self.rehearsal() {
            let hint = "begin a real run to record readings of your own";
            return Err(conflict("not_a_real_run", "a rehearsal reads its own probes", hint));
        }
        if asked.is_empty() || asked.len() > ROWS_MAX {
            let bound = format!("must have 1 to {ROWS_MAX} rows");
            let value = format!("{} rows", asked.len());
            return Err(ApiError::field("rows", value, bound, "send them in parts"));
        }
        self.must_have_room(asked.len())?;
        self.advance();
        let rows = self.checked(asked)?;
        let last_s = rows.last().map_or(0.0, |row| row.0);
        let entry = self.write(vec![(self.moment_ms(last_s), Entry::Readings(rows.clone()))])?;
        let rows = rows.into_iter().map(|(time_s, reading)| Row::Reading(time_s, reading));
        self.touch();
        let said = self.engine.put_all(rows.collect());
        self.say(&said);
        self.settle();
        Ok(AcceptedWire { accepted: asked.len(), entry })
    }

    fn checked(&self, asked: &[ReadingRowWire]) -> Result<Vec<(f64, Reading)>, ApiError> {
        let mut rows: Vec<(f64, Reading)> = Vec::with_capacity(asked.len());
        for (i, row) in asked.iter().enumerate() {
            let time_s = self.told(&format!("rows[{i}].time_s"), row.time_s)?;
            if rows.last().is_some_and(|before| time_s < before.0) {
                let bound = "must not be earlier than the row before";
                let hint = "rows go in the order of time";
                return Err(ApiError::field(format!("rows[{i}].time_s"), time_s, bound, hint));
            }
            let (time_s, reading) =
                ReadingRow { time_s, cells: row.cells }.reading().map_err(|fault| {
                    let field = format!("rows[{i}].{}", fault.column);
                    ApiError::field(field, fault.value, fault.bound, fault.hint)
                })?;
            if reading.is_empty() {
                let bound = "must hold at least one reading";
                let hint = "leave the row out where nothing was read";
                return Err(ApiError::field(format!("rows[{i}]"), "empty", bound, hint));
            }
            rows.push((time_s, reading));
        }
        Ok(rows)
    }

    /// Something was done.
    pub(super) fn act(&mut self, ask: ActionAsk) -> Result<EntryWire, ApiError> {
        self.must_go_on()?;
        self.must_have_room(1)?;
        self.advance();
        self.must_go_on()?;
        let ago_s = ask.ago_s;
        let told_s = ask.time_s;
        let (action, remark) = action_row(ask).action()?;
        let now_s = self.now_s();
        let starts =
            self.time.is_none() && matches!(action, Action::Heater { watts } if watts > 0.0);
        let time_s = self.when(told_s, ago_s, starts)?;
        if self.rehearsal() && moves_the_still(&action) && (time_s - now_s).abs() > 1e-9 {
            let hint = "leave time_s and ago_s out";
            return Err(conflict("only_now", "a rehearsal cannot be changed in its past", hint));
        }
        let mut entries = Vec::new();
        if starts {
            self.start(ago_s, &mut entries);
        }
        let moment_ms = self.moment_ms(time_s);
        entries.push((moment_ms, Entry::Action(time_s, action.clone())));
        let remark = remark.map(|text| Action::Note { text });
        entries.extend(remark.clone().map(|note| (moment_ms, Entry::Action(time_s, note))));
        let written = self.write(entries);
        if written.is_err() && starts {
            self.time = None;
        }
        let last = written?;
        let entry = last - u64::from(remark.is_some());
        for (action, entry) in [Some(action), remark].into_iter().flatten().zip(entry..) {
            self.done(entry, time_s, action);
        }
        Ok(EntryWire { entry })
    }

    /// When it happened: now, at a told time, or so long ago.
    fn when(&self, time_s: Option<f64>, ago_s: Option<f64>, starts: bool) -> Result<f64, ApiError> {
        if time_s.is_some() && ago_s.is_some() {
            let bound = "must not be given together with time_s";
            return Err(ApiError::field("ago_s", ago_s.unwrap_or(0.0), bound, "give one of them"));
        }
        let Some(ago_s) = ago_s else { return self.told("time_s", time_s) };
        let most_s = if self.time.is_some() { self.now_s() } else { 3600.0 };
        if ago_s >= 0.0 && ago_s <= most_s {
            return Ok(if starts {
                0.0
            } else {
                self.told("ago_s", Some(self.now_s() - ago_s).filter(|t| *t >= 0.0))?
            });
        }
        let bound = format!("must lie from 0 to {most_s:.0} s");
        Err(ApiError::field("ago_s", ago_s, bound, "no longer ago than the run has lasted"))
    }

    /// Run time 0 is now, or so long ago.
    fn start(&mut self, ago_s: Option<f64>, entries: &mut Vec<(i64, Entry)>) {
        #[expect(clippy::cast_possible_truncation, reason = "an hour at most, checked")]
        let ago_ms = if self.rehearsal() { 0 } else { (ago_s.unwrap_or(0.0) * 1000.0) as i64 };
        let time = RunTime::begun(self.clock.moment(), ago_ms);
        let started_ms = time.zero_utc_ms();
        self.time = Some(time);
        if let Drive::Rehearsal(simulated) = &mut self.drive {
            // A rehearsal's time begins here; nothing is owed from before.
            simulated.set_speed(simulated.speed());
        }
        entries.push((started_ms, Entry::Started { started_ms }));
    }

    /// Gives a stored action to the engine and to a simulated still.
    fn done(&mut self, entry: u64, time_s: f64, action: Action) {
        self.touch();
        let stored_ms = self.clock.now_ms();
        let said = self.engine.put(Row::Action(entry, time_s, action.clone()));
        if let Drive::Rehearsal(simulated) = &mut self.drive {
            simulated.person(time_s, &action, &said);
        }
        self.log.noted.push(Noted { entry, stored_ms, action: Some((time_s, action)) });
        self.say(&said);
        self.settle();
    }

    /// A jar was filled. Jars are gauged when they have cooled: also after the run.
    pub(super) fn jar(&mut self, ask: JarAsk) -> Result<EntryWire, ApiError> {
        self.must_have_room(1)?;
        if self.time.is_none() {
            let hint = "record the heater first";
            return Err(conflict("not_started", "nothing is collected before heat", hint));
        }
        self.advance();
        let jar = jar_row(ask).record()?;
        if self.ended.is_none() {
            self.told("end_s", Some(jar.end_s))?;
        }
        let entry = self.write(vec![(self.clock.now_ms(), Entry::Jar(jar.clone()))])?;
        self.touch();
        self.log.noted.push(Noted { entry, stored_ms: self.clock.now_ms(), action: None });
        self.put_jar(entry, jar);
        Ok(EntryWire { entry })
    }

    fn put_jar(&mut self, entry: u64, jar: JarRecord) {
        let over = self.ended.is_some();
        let said = self.engine.put(Row::Jar(entry, jar));
        if over {
            // The record is over: nothing more is said about it, but the jar counts.
            self.engine.close();
            self.teacher.ended(&self.id, self.example);
            return;
        }
        self.say(&said);
        self.settle();
    }

    /// Takes back what was recorded a moment ago; the entry stays, with one that withdraws it.
    pub(super) fn undo(&mut self, entry: u64) -> Result<EntryWire, ApiError> {
        self.must_go_on()?;
        let Some(at) = self.log.noted.iter().position(|noted| noted.entry == entry) else {
            let what = format!("entry {entry} is no action or jar that holds");
            return Err(conflict("no_such_entry", what, "give the number that was answered"));
        };
        let noted = &self.log.noted[at];
        if self.clock.now_ms() - noted.stored_ms > UNDO_MS {
            let what = format!("entry {entry} was stored more than 10 s ago");
            return Err(conflict("too_late", what, "record how it really is as a new entry"));
        }
        let moves = noted.action.as_ref().is_some_and(|(_, action)| moves_the_still(action));
        if self.rehearsal() && moves {
            let what = "the simulated still has moved on with it";
            return Err(conflict("has_moved_on", what, "change it back with a new entry"));
        }
        self.advance();
        let withdrawn = Entry::Withdrawn { entry: i64::try_from(entry).unwrap_or(i64::MAX) };
        let answer = self.write(vec![(self.clock.now_ms(), withdrawn)])?;
        self.touch();
        self.log.noted.remove(at);
        let said = self.engine.withdraw(entry);
        self.say(&said);
        self.settle();
        Ok(EntryWire { entry: answer })
    }

    /// A rehearsal goes on at another speed.
    pub(super) fn set_speed(&mut self, speed: f64) -> Result<SpeedWire, ApiError> {
        check_speed(speed)?;
        self.must_go_on()?;
        self.advance();
        let Drive::Rehearsal(_) = &self.drive else {
            let hint = "only a rehearsal has a speed";
            return Err(conflict("not_a_rehearsal", "a real run goes by the clock", hint));
        };
        let time_s = self.engine.ticked().map_or(0.0, |second| second as f64);
        self.write(vec![(self.clock.now_ms(), Entry::Speed { time_s, speed })])?;
        if let Drive::Rehearsal(simulated) = &mut self.drive {
            simulated.set_speed(speed);
        }
        let answer = SpeedWire { speed };
        // Nobody there to hear it is no fault.
        let _ = self.feed.send(Said::Speed(json(&answer)));
        Ok(answer)
    }

    /// The person ends the run where it stands.
    pub(super) fn end(&mut self) -> Result<EntryWire, ApiError> {
        self.must_go_on()?;
        self.advance();
        let said = self.engine.close();
        self.say(&said);
        self.settle();
        Ok(EntryWire { entry: self.log.last_entry })
    }
}

/// Refuses a speed that no rehearsal has.
pub(crate) fn check_speed(speed: f64) -> Result<(), ApiError> {
    if (0.0..=SPEED_MAX).contains(&speed) {
        return Ok(());
    }
    let bound = format!("must lie from 0 to {SPEED_MAX}");
    Err(ApiError::field("speed", speed, bound, "run seconds per second; 0 halts"))
}

fn action_row(ask: ActionAsk) -> ActionRow {
    ActionRow {
        action: ask.action,
        value: ask.value,
        unit: ask.unit.unwrap_or_default(),
        note: ask.note.unwrap_or_default(),
    }
}

fn jar_row(ask: JarAsk) -> JarRow {
    JarRow {
        jar: ask.jar,
        start_s: ask.start_s,
        end_s: ask.end_s,
        volume_ml: ask.volume_ml,
        temperature_c: ask.temperature_c,
        apparent_vol: ask.apparent_vol,
        cut: ask.cut.map(|cut| StepKind::from(cut).name().to_owned()).unwrap_or_default(),
        note: ask.note,
    }
}
