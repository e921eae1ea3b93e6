//! The alarms of a whole run, looked back at: how often each came, how long it stood, what was quiet.

use crate::event::Priority;
use crate::rules::{RULES, alarm_words};

/// Most alarms that are called the worst.
const WORST_MAX: usize = 10;
/// Most times that something was made quiet that are kept: more than a run has.
const QUIET_MAX: usize = 100;
const HOUR_S: f64 = 3600.0;

/// The alarms of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct AlarmReview {
    /// How long the run was, s.
    pub run_s: f64,
    /// How many came in all.
    pub alarms: u64,
    /// How many an hour.
    pub per_hour: f64,
    /// How often the second person was to be called.
    pub second_person: u64,
    /// Those that came most often, ten at most.
    pub worst: Vec<WorstAlarm>,
    /// What was made quiet, in order.
    pub quiet: Vec<MadeQuiet>,
}

/// One alarm over a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorstAlarm {
    /// Its code.
    pub code: &'static str,
    /// What it is about, in words.
    pub words: &'static str,
    /// How urgent it was at most.
    pub priority: Priority,
    /// How often it came, or got worse.
    pub times: u64,
    /// How long its cause was there, s.
    pub stood_s: f64,
}

/// One time that an alarm was made quiet.
#[derive(Debug, Clone, PartialEq)]
pub struct MadeQuiet {
    /// Its code.
    pub code: String,
    /// What it is about, in words.
    pub words: &'static str,
    /// When, run time in s.
    pub from_s: f64,
    /// For how long, s.
    pub lasts_s: f64,
    /// Why.
    pub reason: String,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Tallied {
    code: &'static str,
    priority: Priority,
    times: u64,
    stood_s: f64,
    since_s: Option<f64>,
}

/// What is kept of them as the run goes on.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Tally {
    of: Vec<Tallied>,
    quiet: Vec<MadeQuiet>,
    second_person: u64,
}

impl Tally {
    /// One came, or got worse.
    pub(crate) fn raised(&mut self, now_s: f64, code: &'static str, priority: Priority) {
        let place = self.of.iter().position(|one| one.code == code).unwrap_or(self.of.len());
        if place == self.of.len() {
            let (times, stood_s, since_s) = (0, 0.0, None);
            self.of.push(Tallied { code, priority, times, stood_s, since_s });
        }
        let one = &mut self.of[place];
        one.times += 1;
        one.priority = one.priority.max(priority);
        one.since_s = one.since_s.or(Some(now_s));
    }

    /// Its cause is gone.
    pub(crate) fn over(&mut self, now_s: f64, code: &str) {
        for one in self.of.iter_mut().filter(|one| one.code == code) {
            one.stood_s += one.since_s.take().map_or(0.0, |since_s| now_s - since_s);
        }
    }

    /// One was made quiet.
    pub(crate) fn made_quiet(&mut self, code: &str, from_s: f64, lasts_s: f64, reason: &str) {
        if self.quiet.len() < QUIET_MAX {
            let (words, code, reason) = (alarm_words(code), code.to_owned(), reason.to_owned());
            self.quiet.push(MadeQuiet { code, words, from_s, lasts_s, reason });
        }
    }

    /// The second person is to be called.
    pub(crate) const fn called(&mut self) {
        self.second_person += 1;
    }

    /// All of it up to now.
    pub(crate) fn review(&self, now_s: f64) -> AlarmReview {
        let open_s = |one: &Tallied| one.since_s.map_or(0.0, |since_s| now_s - since_s);
        let mut worst: Vec<WorstAlarm> = self
            .of
            .iter()
            .map(|one| WorstAlarm {
                code: one.code,
                words: alarm_words(one.code),
                priority: one.priority,
                times: one.times,
                stood_s: one.stood_s + open_s(one),
            })
            .collect();
        let place = |code: &str| RULES.iter().position(|rule| rule.code == code);
        worst.sort_by(|a, b| {
            let often = b.times.cmp(&a.times).then(b.stood_s.total_cmp(&a.stood_s));
            often.then(place(a.code).cmp(&place(b.code)))
        });
        worst.truncate(WORST_MAX);
        let alarms: u64 = self.of.iter().map(|one| one.times).sum();
        AlarmReview {
            run_s: now_s,
            alarms,
            // What came in the first minutes is no rate of an hour.
            per_hour: HOUR_S * alarms as f64 / now_s.max(HOUR_S),
            second_person: self.second_person,
            worst,
            quiet: self.quiet.clone(),
        }
    }
}
