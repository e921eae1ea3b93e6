//! The simulated still of a rehearsal and the pace at which it runs.

use std::time::Instant;

use advise::Event;
use rehearse::Rehearsal;
use sense::Action;

/// A simulated still and the pace at which it runs.
#[derive(Debug)]
pub(super) struct Simulated {
    pub(super) still: Rehearsal,
    speed: f64,
    /// What was said in the second before, which a stand-in attendant answers.
    pub(super) due: Vec<Event>,
    /// Run seconds that should have passed and have not.
    pub(super) owed_s: f64,
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
    pub(super) fn owed(&mut self) -> f64 {
        let now = Instant::now();
        self.owed_s += self.speed * now.duration_since(self.looked).as_secs_f64();
        self.looked = now;
        self.owed_s.floor()
    }
}
