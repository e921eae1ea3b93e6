//! The prompts: each is said once, and once more after a minute where it was not done.

use super::event::{Event, EventKind};
use super::finding::Finding;

/// When a prompt that was not done is said again, s.
const REPEAT_AFTER_S: f64 = 60.0;
/// Most prompts remembered: more than any run has.
const MEMORY_MAX: usize = 2000;

#[derive(Debug, Clone, PartialEq)]
struct Said {
    event: Event,
    occasion: u64,
    first_s: f64,
    repeated: bool,
    done: bool,
}

/// All prompts of a run.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Prompts {
    said: Vec<Said>,
}

impl Prompts {
    /// Whether this one was said on this occasion.
    pub(super) fn was_said(&self, code: &str, occasion: u64) -> bool {
        self.said.iter().any(|said| said.event.code == code && said.occasion == occasion)
    }

    /// When this one was first said, on any occasion, s.
    pub(super) fn first_said_s(&self, code: &str) -> Option<f64> {
        self.said.iter().find(|said| said.event.code == code).map(|said| said.first_s)
    }

    /// When anything was first said on that occasion, s.
    pub(super) fn first_said_on(&self, occasion: u64) -> Option<f64> {
        self.said.iter().find(|said| said.occasion == occasion).map(|said| said.first_s)
    }

    /// Says it, unless it was said on this occasion.
    pub(super) fn say(
        &mut self,
        now_s: f64,
        occasion: u64,
        finding: Finding,
        out: &mut Vec<Event>,
    ) {
        if self.was_said(finding.code, occasion) || self.said.len() >= MEMORY_MAX {
            return;
        }
        let event = finding.event(now_s, EventKind::Prompt);
        out.push(event.clone());
        self.said.push(Said { event, occasion, first_s: now_s, repeated: false, done: false });
    }

    /// Marks what `done` says is done, and repeats the rest once.
    pub(super) fn go_on(
        &mut self,
        now_s: f64,
        done: impl Fn(&str, u64, f64) -> bool,
        out: &mut Vec<Event>,
    ) {
        for said in self.said.iter_mut().filter(|said| !said.done) {
            said.done = done(said.event.code, said.occasion, said.first_s);
            if !said.done && !said.repeated && now_s - said.first_s >= REPEAT_AFTER_S {
                said.repeated = true;
                let passed_s = now_s - said.event.time_s;
                said.event.time_s = now_s;
                said.event.within_s = said.event.within_s.map(|left| (left - passed_s).max(0.0));
                out.push(said.event.clone());
            }
        }
    }

    /// What is due and not done, the latest first; `done` judges it as things are now, also between
    /// two ticks.
    pub(super) fn due(&self, done: impl Fn(&str, u64, f64) -> bool) -> Vec<Event> {
        let open = self
            .said
            .iter()
            .rev()
            .filter(|said| !said.done && !done(said.event.code, said.occasion, said.first_s));
        open.map(|said| said.event.clone()).collect()
    }
}
