//! What is the matter, before it has a time: of a prompt, and of an alarm with the rule behind it.

use crate::event::{Event, EventKind, Priority};
use crate::rules::Cause;

/// A prompt before it has a time.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Finding {
    pub(crate) code: &'static str,
    pub(crate) priority: Priority,
    pub(crate) text: String,
    pub(crate) how_sure: String,
    pub(crate) to_do: String,
    pub(crate) within_s: Option<f64>,
}

impl Finding {
    /// As an event.
    pub(crate) fn event(self, time_s: f64, kind: EventKind) -> Event {
        Event {
            time_s,
            kind,
            code: self.code,
            priority: self.priority,
            text: self.text,
            how_sure: self.how_sure,
            to_do: self.to_do,
            within_s: self.within_s,
        }
    }
}

/// A cause of an alarm that is there.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Found {
    pub(crate) cause: &'static Cause,
    pub(crate) text: String,
    pub(crate) how_sure: String,
    /// What in particular, so that another channel of the same code is said anew.
    pub(crate) about: String,
}

impl Cause {
    /// It is there.
    pub(crate) fn found(&'static self, text: impl Into<String>, how_sure: String) -> Found {
        Found { cause: self, text: text.into(), how_sure, about: String::new() }
    }
}

impl Found {
    /// As an alarm.
    pub(crate) fn event(self, time_s: f64) -> Event {
        let Cause { code, priority, to_do, within_s, .. } = *self.cause;
        let (text, how_sure, to_do) = (self.text, self.how_sure, to_do.to_owned());
        let finding = Finding { code, priority, text, how_sure, to_do, within_s };
        finding.event(time_s, EventKind::Alarm)
    }
}

/// An event that only says what is known now.
#[must_use]
pub fn state_event(time_s: f64, code: &'static str, text: String, how_sure: &str) -> Event {
    let (priority, how_sure) = (Priority::Low, how_sure.to_owned());
    Finding { code, priority, text, how_sure, to_do: String::new(), within_s: None }
        .event(time_s, EventKind::State)
}
