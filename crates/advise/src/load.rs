//! How many alarms came lately, and that the second person is called where nobody answers.

use std::collections::VecDeque;

use crate::event::Event;
use crate::finding::state_event;
use crate::rules::{CALLS, LOAD, alarm_words};

/// Most alarms remembered: more than a person can hear in ten minutes.
const RAISED_MAX: usize = 256;

/// The alarms that came lately.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Raised(VecDeque<(f64, &'static str)>);

impl Raised {
    /// One came.
    pub(crate) fn push(&mut self, time_s: f64, code: &'static str) {
        while self.0.front().is_some_and(|(at_s, _)| time_s - at_s >= LOAD.window_s)
            || self.0.len() >= RAISED_MAX
        {
            self.0.pop_front();
        }
        self.0.push_back((time_s, code));
    }

    fn lately(&self, now_s: f64) -> impl Iterator<Item = &'static str> {
        let lately = self.0.iter().filter(move |(at_s, _)| now_s - at_s < LOAD.window_s);
        lately.map(|(_, code)| *code)
    }

    /// How many in the last ten minutes.
    pub(crate) fn rate(&self, now_s: f64) -> usize {
        self.lately(now_s).count()
    }

    /// Whether one comes again and again.
    pub(crate) fn chatters(&self, now_s: f64, code: &str) -> bool {
        self.lately(now_s).filter(|raised| *raised == code).count() >= LOAD.chatters
    }
}

/// Whether one that came at `raised_s` stands long.
pub(crate) fn stands_long(now_s: f64, raised_s: f64) -> bool {
    now_s - raised_s >= LOAD.stands_long_s
}

/// Whether so many alarms within ten minutes are more than a person can take in.
pub(crate) const fn is_flood(rate: usize) -> bool {
    rate >= LOAD.flood
}

/// Calls of the second person.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Called {
    last_s: f64,
    times: u32,
}

impl Called {
    /// Follows the oldest critical alarm that nobody has seen; says when the second person is due.
    pub(crate) fn follow(&mut self, now_s: f64, open: Option<&Event>) -> Option<Event> {
        let Some(open) = open else {
            self.times = 0;
            return None;
        };
        let due_s =
            if self.times == 0 { open.time_s + CALLS.after_s } else { self.last_s + CALLS.again_s };
        if now_s < due_s || self.times >= CALLS.times {
            return None;
        }
        (self.last_s, self.times) = (now_s, self.times + 1);
        let what = alarm_words(open.code);
        let text = format!("Nobody answers ({what}): the second person is called.");
        let how = format!("critical, and seen by nobody for {:.0} s", now_s - open.time_s);
        Some(state_event(now_s, "second_person", text, &how))
    }
}
