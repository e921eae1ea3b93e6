//! Opens a run from its record: after a start, a stop or a `kill -9` it goes on where it was.
//!
//! The engine gets the stored rows as a replay would give them. A real run then catches up with
//! the clock, so that the gap shows as readings that are too old. A rehearsal runs its simulated
//! still again, with the same seed and the person's stored actions, to its last stored second,
//! and goes on from there.

use advise::{Event, Live, LiveOptions, RunEnd};
use rehearse::Rehearsal;
use sense::Action;
use sense::RecordedRun;
use store::{Entry, RunId, RunMode, RunState, StoredEnd};

use super::advance::Stretch;
use super::clock_words::unattended;
use super::device_clock::DeviceClocks;
use super::engine_rows::EngineRows;
use super::estimate_thread::EstimateThread;
use super::log::{Log, number};
use super::row::{Row, in_order};
use super::run_time::{ClockStep, Resumed, RunTime};
use super::said::{SaidBefore, ms};
use super::simulated::Simulated;
use super::state::{Drive, RunSession, SessionDeps, feed};
use crate::problem::ApiError;

impl RunSession {
    /// The run as its record has it.
    pub(crate) fn open(id: &RunId, deps: SessionDeps) -> Result<Self, ApiError> {
        let SessionDeps { keeper, clock, teacher, forecasts, alerts, estimates } = deps;
        let state = keeper.reader().run(id)?;
        let log = Log::of(&state);
        let summary = &state.summary;
        // Nobody waits for an estimate of what is over.
        let estimate = estimates && !is_over(&state);
        let (character, jar_ml) = (state.character.clone(), log.jar_size_ml());
        let instruments = state.instruments.clone();
        let options =
            LiveOptions { character, estimate, jar_ml, instruments, ..LiveOptions::default() };
        // A run without a forecast is attended all the same.
        let computed = forecasts.of(&state.plan).map_err(|error| error.to_string());
        let live = Live::with_forecasts(state.plan.clone(), options.clone(), Some(computed))?;
        let mut engine = EngineRows::of(live);
        if summary.mode != RunMode::Real {
            engine.expect_order();
        }
        let mut session = Self {
            id: id.clone(),
            acting: None,
            typed: Vec::new(),
            fed_units: state.fed_units.clone(),
            touched_steady_ms: clock.moment().steady_ms,
            keeper,
            clock,
            teacher,
            feed: feed(),
            plan: state.plan.clone(),
            mode: summary.mode,
            example: summary.example,
            created_ms: summary.created_ms,
            time: None,
            engine,
            options,
            forecasts,
            drive: Drive::Nothing,
            log,
            ended: None,
            estimating: EstimateThread::default(),
            recorded: number(state.last_entry),
            fed_s: f64::NEG_INFINITY,
            overdue: Vec::new(),
            news: true,
            devices: DeviceClocks::default(),
            alerts,
            told: Vec::new(),
        };
        session.go_on(&state)?;
        session.look_for_instruments();
        Ok(session)
    }

    /// Plays the record to the engine and puts in place what moves run time on.
    fn go_on(&mut self, state: &RunState) -> Result<(), ApiError> {
        let over = is_over(state);
        self.engine.play_until(last_second(state));
        let (step, steady) = self.resume_time(state, over);
        let mut new = Vec::new();
        let mut missing = RecordedRun::default();
        match (state.summary.mode, over) {
            (RunMode::Rehearsal { seed, attendant, scale, .. }, false) => {
                let still = Rehearsal::new(&state.plan, seed, attendant)?;
                let mut still = if scale { still.with_scale() } else { still };
                let (said, lost, due) = self.play_with(state, &mut still, attendant)?;
                (new, missing) = (said, lost);
                let speed = state.speed.unwrap_or(1.0);
                self.drive = Drive::Rehearsal(Box::new(Simulated::new(still, speed, due)));
            }
            (_, over) => {
                new.extend(self.play(state));
                if !over {
                    self.drive = Drive::Real;
                }
            }
        }
        if over {
            self.engine.close();
            self.ended = state.summary.ended.as_ref().map(end_of).or_else(|| self.engine.end());
            return Ok(());
        }
        if let Some(step) = step {
            self.note_step(&step);
        }
        self.note_absence(state, steady);
        self.catch_up(state, new, missing);
        Ok(())
    }

    /// Run time goes on. Gives what is to be written down of the clocks, and whether the steady one
    /// ran on.
    fn resume_time(&mut self, state: &RunState, over: bool) -> (Option<ClockStep>, bool) {
        let (anchors, now) = (state.anchors.clone(), self.clock.moment());
        if over || state.summary.mode != RunMode::Real {
            self.time = RunTime::standing(anchors, now);
            return (None, false);
        }
        let Some(resumed) = RunTime::resumed(anchors, state.last_time_s, now) else {
            return (None, false);
        };
        let Resumed { time, step, steady } = resumed;
        self.time = Some(time);
        (step, steady)
    }

    /// Says for how long nobody attended a real run.
    fn note_absence(&mut self, state: &RunState, steady: bool) {
        let Some(time) = &self.time else { return };
        let now_s = time.elapsed_ms(self.clock.moment()) as f64 / 1000.0;
        let event = unattended(state.last_time_s, now_s, steady)
            .filter(|_| state.summary.mode == RunMode::Real);
        let Some(event) = event else { return };
        let utc_ms = time.utc_ms(now_s);
        match self.write(vec![(utc_ms, Entry::Event((&event).into()))]) {
            Ok(entry) => self.announce(&[event], entry),
            Err(error) => {
                tracing::error!("run {}: that it was unattended was not stored: {error}", self.id);
            }
        }
    }

    /// Gives all stored rows to the engine, second by second.
    fn play(&mut self, state: &RunState) -> Vec<Event> {
        let rows = stored_rows(state);
        let mut rows = rows.into_iter().peekable();
        let mut said = Vec::new();
        if state.summary.started_ms.is_some() || state.summary.mode == RunMode::Imported {
            for second in 0..=last_second(state) {
                while let Some(row) = rows.next_if(|row| row.time_s() <= second as f64) {
                    said.extend(self.engine.put(row));
                }
                said.extend(self.engine.tick(second));
            }
        }
        said.extend(self.engine.put_all(rows.collect()));
        said
    }

    /// As [`RunSession::play`], with the simulated still beside it. Gives what was said, the rows that
    /// the still had and the record has not, and what was said last.
    fn play_with(
        &mut self,
        state: &RunState,
        still: &mut Rehearsal,
        attendant: bool,
    ) -> Result<(Vec<Event>, RecordedRun, Vec<Event>), ApiError> {
        let mut rows = stored_rows(state).into_iter().peekable();
        let (mut all, mut missing, mut due) = (Vec::new(), RecordedRun::default(), Vec::new());
        if state.summary.started_ms.is_some() {
            for second in 0..=last_second(state) {
                let (mut stored, mut acted) = (Vec::new(), Vec::new());
                while let Some(row) = rows.next_if(|row| row.time_s() <= second as f64) {
                    let Some((time_s, action)) = by_person(&row, attendant) else {
                        stored.push(row);
                        continue;
                    };
                    still.person(time_s, action);
                    acted.push(row.clone());
                    let said = self.engine.put(row);
                    all.extend_from_slice(&said);
                    due.extend(said);
                }
                acted.extend_from_slice(&stored);
                let simulated = still.second(second, &due)?;
                let lost = not_among(&simulated, &acted);
                stored.extend(in_order(&lost));
                stored.sort_by(Row::order);
                missing.append(lost);
                let mut said = self.engine.put_all(stored);
                said.extend(self.engine.tick(second));
                all.extend_from_slice(&said);
                due = said;
            }
        }
        for row in rows {
            if let Some((time_s, action)) = by_person(&row, attendant) {
                still.person(time_s, action);
            }
            let said = self.engine.put(row);
            all.extend_from_slice(&said);
            due.extend(said);
        }
        Ok((all, missing, due))
    }

    /// Stores what the record should have held when it was cut off.
    fn catch_up(&mut self, state: &RunState, new: Vec<Event>, missing: RecordedRun) {
        let mut heard = SaidBefore::default();
        for (_, event) in &state.events {
            heard.remember(event.time_s, &event.code, &event.text);
            self.engine.remember(event.time_s, &event.code, &event.text);
        }
        // What came late when it was said comes a little earlier now: it is not said again.
        heard.again_from(None);
        let new = heard.only_new(new);
        self.keep(Stretch { rows: missing, said: new });
        self.advance();
    }
}

/// Whether nothing moves its run time on any more.
fn is_over(state: &RunState) -> bool {
    state.summary.ended.is_some() || state.summary.mode == RunMode::Imported
}

/// The last second that anything in the record tells of.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the store takes times from 0 to a fortnight"
)]
fn last_second(state: &RunState) -> u64 {
    let last_s = state.last_time_s;
    match state.summary.mode {
        // Rows after the last whole second belong to one that is not over.
        RunMode::Rehearsal { .. } | RunMode::Real => last_s.floor() as u64,
        RunMode::Imported => last_s.ceil() as u64,
    }
}

fn end_of(stored: &StoredEnd) -> RunEnd {
    RunEnd {
        time_s: stored.time_s,
        ended_by: stored.ended_by,
        litres_20c: stored.litres_20c,
        pure_alcohol_l: stored.pure_alcohol_l,
    }
}

fn stored_rows(state: &RunState) -> Vec<Row> {
    // Those of a person stand last.
    let sent = state.rows.readings.len() - state.read_by_hand.len();
    let by_hand = state.read_by_hand.iter().map(|(entry, ..)| number(*entry));
    let entries = std::iter::repeat_n(0, sent).chain(by_hand);
    let readings = state.rows.readings.iter().zip(entries);
    let readings = readings.map(|(row, entry)| Row::Reading(entry, row.0, row.1));
    let actions = state.rows.actions.iter().zip(&state.action_entries);
    let actions = actions.map(|(row, entry)| Row::Action(number(*entry), row.0, row.1.clone()));
    let jars = state.rows.jars.iter().zip(&state.jar_entries);
    let jars = jars.map(|(jar, entry)| Row::Jar(number(*entry), jar.clone()));
    let mut rows: Vec<Row> = readings.chain(actions).chain(jars).collect();
    rows.sort_by(Row::order);
    rows
}

/// What the person did in a rehearsal: without a stand-in everything, else what happened on the
/// half second, where only a person acts.
fn by_person(row: &Row, attendant: bool) -> Option<(f64, &Action)> {
    match row {
        Row::Action(_, time_s, action) if !attendant || (time_s.fract() - 0.5).abs() < 1e-6 => {
            Some((*time_s, action))
        }
        _ => None,
    }
}

/// The rows of a second that are not stored.
fn not_among(simulated: &RecordedRun, stored: &[Row]) -> RecordedRun {
    let mut lost = simulated.clone();
    lost.readings.retain(|row| {
        !stored.iter().any(|other| matches!(other, Row::Reading(_, t, _) if same(*t, row.0)))
    });
    lost.actions.retain(|row| {
        let found = |other: &Row| {
            matches!(other, Row::Action(_, t, action) if same(*t, row.0) && *action == row.1)
        };
        !stored.iter().any(found)
    });
    lost.jars.retain(|jar| {
        !stored
            .iter()
            .any(|other| matches!(other, Row::Jar(_, found) if found.number == jar.number))
    });
    lost
}

fn same(a: f64, b: f64) -> bool {
    ms(a) == ms(b)
}
