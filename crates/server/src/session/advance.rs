//! How run time goes on: by the clock, or as fast as a rehearsal is asked to go, with bounded
//! work between two looks at the commands.

use std::time::{Duration, Instant};

use advise::Event;
use advise::RUN_SECONDS_MAX;
use rehearse::RehearseError;
use sense::RecordedRun;
use store::{ClockAnchor, Entry};

use super::log::{Held, Noted};
use super::row::in_order;
use super::run_time::ClockStep;
use super::simulated::Simulated;
use super::state::{Drive, RunSession};

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

/// What a stretch of a rehearsal brought.
#[derive(Default)]
pub(super) struct Stretch {
    pub(super) rows: RecordedRun,
    pub(super) said: Vec<Event>,
}

impl RunSession {
    /// Moves run time on as far as it should be, also where that takes a moment.
    pub(super) fn advance(&mut self) {
        self.advance_with(Patience::Patient);
    }

    /// Moves run time on as far as a look may take it.
    pub(super) fn look(&mut self) {
        self.advance_with(Patience::Look);
    }

    fn advance_with(&mut self, patience: Patience) {
        if self.time.is_none() || self.ended.is_some() {
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

    /// Run time now, ms.
    pub(super) fn elapsed_ms(&self) -> i64 {
        self.time.as_ref().map_or(0, |time| time.elapsed_ms(self.clock.moment()))
    }

    /// Writes down and says that the clock on the wall was set, where it was.
    fn look_at_the_wall(&mut self) {
        let now = self.clock.moment();
        if let Some(step) = self.time.as_mut().and_then(|time| time.look(now)) {
            self.note_step(&step);
        }
    }

    /// Keeps what the clocks show and lets everybody hear of it, where it is to be said.
    pub(super) fn note_step(&mut self, step: &ClockStep) {
        let ClockAnchor { time_s, utc_ms, steady } = step.anchor;
        let said: Vec<Event> = step.event().into_iter().collect();
        let clock = std::iter::once(Entry::Clock { time_s, utc_ms, steady });
        let entries = clock.chain(said.iter().map(|event| Entry::Event(event.into())));
        match self.write(entries.map(|entry| (utc_ms, entry)).collect()) {
            Ok(last) => self.announce(&said, last),
            Err(error) => {
                tracing::error!("run {}: a step of the clock was not stored: {error}", self.id);
                if let Some(time) = &mut self.time {
                    time.forget_last();
                }
            }
        }
    }

    /// Ends every second that is over: second `s` once the clock has passed it.
    fn advance_real(&mut self, patience: Patience) {
        self.look_at_the_wall();
        let elapsed_ms = u64::try_from(self.elapsed_ms()).unwrap_or_default();
        let until = Instant::now() + patience.work_max();
        if self.engine.ticked().unwrap_or(0) + BEHIND_MAX_S < elapsed_ms / 1000 {
            self.engine.play_until(elapsed_ms / 1000);
        }
        let mut said = Vec::new();
        for _ in 0..CATCH_UP_MAX {
            let next = self.engine.ticked().map_or(0, |second| second + 1);
            if next * 1000 >= elapsed_ms || self.engine.end().is_some() {
                break;
            }
            if !self.may_tick(next, until) {
                match patience {
                    Patience::Look => break,
                    Patience::Patient => self.engine.let_pass(),
                }
            }
            said.extend(self.engine.tick(next));
            self.news = true;
        }
        let untouched_ms = self.clock.moment().steady_ms - self.touched_steady_ms;
        let untouched = untouched_ms > UNTOUCHED_MAX_MS;
        if untouched || self.engine.ticked().is_some_and(|second| second >= RUN_SECONDS_MAX) {
            said.extend(self.engine.close());
        }
        self.say(&said);
        self.settle();
    }

    /// Lets the simulated still run for what is owed, or as long as a look may take.
    fn rehearse(&mut self, simulated: &mut Simulated) -> Stretch {
        let mut owed = simulated.owed();
        let until = Instant::now() + WORK_MAX;
        let mut stretch = Stretch::default();
        while owed >= 1.0 && Instant::now() < until && self.engine.end().is_none() {
            let next = self.engine.ticked().map_or(0, |second| second + 1);
            if !self.may_tick(next, until) {
                break;
            }
            if let Err(error) = self.second(simulated, &mut stretch) {
                tracing::error!("run {}: the rehearsal stops: {error}", self.id);
                stretch.said.extend(self.engine.close());
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
        let second = self.engine.ticked().map_or(0, |second| second + 1);
        let rows = simulated.still.second(second, &simulated.due)?;
        let mut said = Vec::new();
        for row in in_order(&rows) {
            said.extend(self.engine.put(row));
        }
        said.extend(self.engine.tick(second));
        if self.engine.end().is_some() || simulated.still.finished() || second >= RUN_SECONDS_MAX {
            said.extend(self.engine.close());
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
        let (actions, jars) = (rows.actions.clone(), rows.jars.clone());
        let entries: Vec<(i64, Entry)> = entries_of(rows, &said).map(|e| (now_ms, e)).collect();
        let count = entries.len() as u64;
        match self.write(entries) {
            Ok(last) => {
                let first_action = last + 1 - (said.len() + actions.len()) as u64;
                debug_assert!(count >= (said.len() + actions.len() + jars.len()) as u64);
                for (jar, entry) in jars.into_iter().rev().zip((0..first_action).rev()) {
                    self.log.noted.push(Noted { entry, what: Held::Jar(jar) });
                }
                for ((time_s, action), entry) in actions.into_iter().zip(first_action..) {
                    self.log.noted.push(Noted::action(entry, time_s, action));
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
