//! How run time goes on: by the clock, or as fast as a rehearsal is asked to go, with bounded
//! work between two looks at the commands.

use std::time::{Duration, Instant};

use advise::Event;
use advise::RUN_SECONDS_MAX;
use rehearse::Rehearsal;
use rehearse::RehearseError;
use sense::Action;
use sense::RecordedRun;
use store::Entry;

use super::log::Noted;
use super::room::{Drive, Room};
use super::seat::Row;

/// Fastest rehearsal, run seconds per second.
pub(crate) const SPEED_MAX: f64 = 10_000.0;
/// Longest a rehearsal computes between two looks at the commands.
const WORK_MAX: Duration = Duration::from_millis(180);
/// Most seconds of a real run that are caught up with between two looks at the commands.
const CATCH_UP_MAX: u64 = 20_000;
/// A real run that nobody has touched for this long is closed: a day.
const UNTOUCHED_MAX_MS: i64 = 86_400_000;

/// A real run that is further behind the clock than this lets what it would have asked go by.
const BEHIND_MAX_S: u64 = 300;
/// Longest that somebody who records something waits for answers to what the engine asked.
const PATIENCE_MAX: Duration = Duration::from_secs(2);

/// How long run time may be held up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Patience {
    /// No longer than a look: it goes on at the next one.
    Look,
    /// Until run time is where it should be: something is recorded there.
    Patient,
}

impl Patience {
    const fn work_max(self) -> Duration {
        match self {
            Self::Look => WORK_MAX,
            Self::Patient => PATIENCE_MAX,
        }
    }
}

/// A simulated still and the pace at which it runs.
#[derive(Debug)]
pub(super) struct Simulated {
    still: Rehearsal,
    speed: f64,
    /// What was said in the second before, which a stand-in attendant answers.
    due: Vec<Event>,
    /// Run seconds that should have passed and have not.
    owed_s: f64,
    looked: Instant,
}

impl Simulated {
    pub(super) fn new(still: Rehearsal, speed: f64, due: Vec<Event>) -> Self {
        Self { still, speed, due, owed_s: 0.0, looked: Instant::now() }
    }

    pub(super) fn speed(&self) -> f64 {
        self.speed
    }

    pub(super) fn set_speed(&mut self, speed: f64) {
        self.owed();
        self.speed = speed;
        self.owed_s = 0.0;
    }

    /// The person did something at the simulated still.
    pub(super) fn person(&mut self, time_s: f64, action: &Action, said: &[Event]) {
        self.still.person(time_s, action);
        self.due.extend_from_slice(said);
    }

    /// Whole run seconds that should pass now.
    fn owed(&mut self) -> f64 {
        let now = Instant::now();
        self.owed_s += self.speed * now.duration_since(self.looked).as_secs_f64();
        self.looked = now;
        self.owed_s.floor()
    }
}

/// What a stretch of a rehearsal brought.
#[derive(Default)]
pub(super) struct Stretch {
    pub(super) rows: RecordedRun,
    pub(super) said: Vec<Event>,
}

impl Room {
    /// Moves run time on as far as it should be, also where that takes a moment.
    pub(super) fn advance(&mut self) {
        self.advance_with(Patience::Patient);
    }

    /// Moves run time on as far as a look may take it.
    pub(super) fn look(&mut self) {
        self.advance_with(Patience::Look);
    }

    fn advance_with(&mut self, patience: Patience) {
        if self.started_ms.is_none() || self.ended.is_some() {
            return;
        }
        match std::mem::replace(&mut self.drive, Drive::Nothing) {
            Drive::Real => {
                self.drive = Drive::Real;
                self.advance_real(patience);
            }
            Drive::Rehearsal(mut simulated) => {
                let stretch = self.rehearse(&mut simulated);
                self.drive = Drive::Rehearsal(simulated);
                self.keep(stretch);
            }
            Drive::Nothing => {}
        }
    }

    /// Run time now, ms; a clock that was set back does not turn it back.
    pub(super) fn elapsed_ms(&self) -> i64 {
        let ticked_ms = self.seat.ticked().map_or(0, |second| second * 1000);
        let since = self.started_ms.map_or(0, |started_ms| self.clock.now_ms() - started_ms);
        since.max(i64::try_from(ticked_ms).unwrap_or(i64::MAX))
    }

    /// Ends every second that is over: second `s` once the clock has passed it.
    fn advance_real(&mut self, patience: Patience) {
        let elapsed_ms = u64::try_from(self.elapsed_ms()).unwrap_or_default();
        let until = Instant::now() + patience.work_max();
        if self.seat.ticked().unwrap_or(0) + BEHIND_MAX_S < elapsed_ms / 1000 {
            self.seat.play_until(elapsed_ms / 1000);
        }
        let mut said = Vec::new();
        for _ in 0..CATCH_UP_MAX {
            let next = self.seat.ticked().map_or(0, |second| second + 1);
            if next * 1000 >= elapsed_ms || self.seat.end().is_some() {
                break;
            }
            if !self.may_tick(next, until) {
                match patience {
                    Patience::Look => break,
                    Patience::Patient => self.seat.let_pass(),
                }
            }
            said.extend(self.seat.tick(next));
            self.news = true;
        }
        let untouched = self.clock.now_ms() - self.touched_ms > UNTOUCHED_MAX_MS;
        if untouched || self.seat.ticked().is_some_and(|second| second >= RUN_SECONDS_MAX) {
            said.extend(self.seat.close());
        }
        self.say(&said);
        self.settle();
    }

    /// Lets the simulated still run for what is owed, or as long as a look may take.
    fn rehearse(&mut self, simulated: &mut Simulated) -> Stretch {
        let mut owed = simulated.owed();
        let until = Instant::now() + WORK_MAX;
        let mut stretch = Stretch::default();
        while owed >= 1.0 && Instant::now() < until && self.seat.end().is_none() {
            let next = self.seat.ticked().map_or(0, |second| second + 1);
            if !self.may_tick(next, until) {
                break;
            }
            if let Err(error) = self.second(simulated, &mut stretch) {
                tracing::error!("run {}: the rehearsal stops: {error}", self.id);
                stretch.said.extend(self.seat.close());
            }
            owed -= 1.0;
            simulated.owed_s -= 1.0;
        }
        // What this computer cannot do in time is not owed.
        simulated.owed_s = simulated.owed_s.min(1.0);
        stretch
    }

    /// One second of a rehearsal, as a replay of its record will see it.
    fn second(&mut self, simulated: &mut Simulated, to: &mut Stretch) -> Result<(), RehearseError> {
        let second = self.seat.ticked().map_or(0, |second| second + 1);
        let rows = simulated.still.second(second, &simulated.due)?;
        let mut said = Vec::new();
        for row in in_order(&rows) {
            said.extend(self.seat.put(row));
        }
        said.extend(self.seat.tick(second));
        if self.seat.end().is_some() || simulated.still.finished() || second >= RUN_SECONDS_MAX {
            said.extend(self.seat.close());
        }
        to.rows.append(rows);
        simulated.due.clone_from(&said);
        to.said.extend(said);
        self.news = true;
        Ok(())
    }

    /// Stores a stretch in one piece, then lets everybody hear of it.
    pub(super) fn keep(&mut self, stretch: Stretch) {
        let Stretch { rows, said } = stretch;
        if rows.is_empty() && said.is_empty() {
            return self.settle();
        }
        let now_ms = self.clock.now_ms();
        let actions: Vec<(f64, Action)> = rows.actions.clone();
        let entries: Vec<(i64, Entry)> = entries_of(rows, &said).map(|e| (now_ms, e)).collect();
        let count = entries.len() as u64;
        match self.write(entries) {
            Ok(last) => {
                let first_action = last + 1 - (said.len() + actions.len()) as u64;
                debug_assert!(count >= (said.len() + actions.len()) as u64);
                for (action, entry) in actions.into_iter().zip(first_action..) {
                    let action = Some(action);
                    self.log.noted.push(Noted { entry, stored_ms: now_ms, action });
                }
                self.announce(&said, last + 1 - said.len() as u64);
            }
            Err(error) => {
                tracing::error!("run {}: the rehearsal halts: {error}", self.id);
                if let Drive::Rehearsal(simulated) = &mut self.drive {
                    simulated.set_speed(0.0);
                }
                self.announce(&said, self.log.last_entry);
            }
        }
        self.settle();
    }
}

/// Readings in one entry, then jars, actions and events, one entry each.
fn entries_of(rows: RecordedRun, said: &[Event]) -> impl Iterator<Item = Entry> {
    let readings = (!rows.readings.is_empty()).then_some(Entry::Readings(rows.readings));
    let jars = rows.jars.into_iter().map(Entry::Jar);
    let actions = rows.actions.into_iter().map(|(time_s, action)| Entry::Action(time_s, action));
    let events = said.iter().map(|event| Entry::Event(event.into()));
    readings.into_iter().chain(jars).chain(actions).chain(events)
}

/// The rows in the order in which an engine gets them. A stand-in's rows cannot be withdrawn, so
/// they go by no entry.
pub(super) fn in_order(rows: &RecordedRun) -> Vec<Row> {
    let readings = rows.readings.iter().map(|(time_s, reading)| Row::Reading(*time_s, *reading));
    let actions = rows.actions.iter().map(|(time_s, act)| Row::Action(0, *time_s, act.clone()));
    let jars = rows.jars.iter().map(|jar| Row::Jar(0, jar.clone()));
    let mut all: Vec<Row> = readings.chain(actions).chain(jars).collect();
    all.sort_by(Row::order);
    all
}
