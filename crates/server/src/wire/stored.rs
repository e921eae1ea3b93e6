//! What the record holds as the wire says it: every word has its twin, none is guessed.

use store::{StoredEvent, StoredKind, StoredPriority};

use super::event::{EventKindWire, EventWire, PriorityWire};

impl From<&StoredEvent> for EventWire {
    fn from(event: &StoredEvent) -> Self {
        let kind = match event.kind {
            StoredKind::Prompt => EventKindWire::Prompt,
            StoredKind::Alarm => EventKindWire::Alarm,
            StoredKind::Step => EventKindWire::Step,
            StoredKind::State => EventKindWire::State,
        };
        let priority = match event.priority {
            StoredPriority::Low => PriorityWire::Low,
            StoredPriority::Medium => PriorityWire::Medium,
            StoredPriority::High => PriorityWire::High,
            StoredPriority::Critical => PriorityWire::Critical,
        };
        Self {
            time_s: event.time_s,
            kind,
            code: event.code.clone(),
            priority,
            text: event.text.clone(),
            how_sure: event.how_sure.clone(),
            to_do: event.to_do.clone(),
            within_s: event.within_s,
        }
    }
}
