//! An event as the record keeps it: in words of its own, so that none is ever taken for another.

use advise::{Event, EventKind, Priority};
use serde::{Deserialize, Serialize};

/// What kind of thing was said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StoredKind {
    /// Something to do.
    Prompt,
    /// Something is wrong.
    Alarm,
    /// A step began.
    Step,
    /// Something changed.
    State,
}

/// How soon it must be looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StoredPriority {
    /// At leisure.
    Low,
    /// Soon.
    Medium,
    /// Now.
    High,
    /// At once.
    Critical,
}

/// An event as the record keeps it. A kind or a priority that is none of these is an error.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StoredEvent {
    /// Run time, s.
    pub time_s: f64,
    /// What kind of thing.
    pub kind: StoredKind,
    /// Stable code.
    pub code: String,
    /// How soon.
    pub priority: StoredPriority,
    /// What is the matter.
    pub text: String,
    /// How we know, and how surely.
    pub how_sure: String,
    /// What to do first.
    #[serde(rename = "do")]
    pub to_do: String,
    /// How long there is, s.
    pub within_s: Option<f64>,
}

impl From<&Event> for StoredEvent {
    fn from(event: &Event) -> Self {
        let kind = match event.kind {
            EventKind::Prompt => StoredKind::Prompt,
            EventKind::Alarm => StoredKind::Alarm,
            EventKind::Step => StoredKind::Step,
            EventKind::State => StoredKind::State,
        };
        let priority = match event.priority {
            Priority::Low => StoredPriority::Low,
            Priority::Medium => StoredPriority::Medium,
            Priority::High => StoredPriority::High,
            Priority::Critical => StoredPriority::Critical,
        };
        Self {
            time_s: event.time_s,
            kind,
            code: event.code.to_owned(),
            priority,
            text: event.text.clone(),
            how_sure: event.how_sure.clone(),
            to_do: event.to_do.clone(),
            within_s: event.within_s,
        }
    }
}
