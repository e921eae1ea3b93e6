//! The part of a run's record that the page shows: actions and events with their entry numbers.

use std::sync::Arc;

use advise::Event;
use alcoholometry::gauge::{GaugeInput, Scale, gauge};
use sense::Action;
use store::StoredEvent;
use store::rows::ActionRow;

use super::command::Said;
use crate::wire::event::{EventKindWire, EventWire, PriorityWire};
use crate::wire::record::ActionRowWire;
use crate::wire::run::GaugeRowWire;

/// Most events that are sent again to one who comes back; beyond that they reload.
const MISSED_MAX: usize = 1000;

/// An action or jar and when it was stored: it can be withdrawn for a while.
#[derive(Debug, Clone)]
pub(crate) struct Noted {
    /// Number of the entry.
    pub(crate) entry: u64,
    /// When it was stored, ms UTC.
    pub(crate) stored_ms: i64,
    /// What was done; none for a jar's record.
    pub(crate) action: Option<(f64, Action)>,
}

/// What was done and said.
#[derive(Debug, Default)]
pub(crate) struct Log {
    /// Actions and jars that hold.
    pub(crate) noted: Vec<Noted>,
    /// Events.
    pub(crate) events: Vec<(u64, EventWire)>,
    /// Number of the last entry.
    pub(crate) last_entry: u64,
}

/// The entry number of the store, which counts from 1, for the wire.
pub(crate) fn number(entry: store::EntryNumber) -> u64 {
    u64::try_from(entry).unwrap_or_default()
}

impl Log {
    /// The actions that hold, in the words of their file.
    pub(crate) fn actions(&self) -> Vec<ActionRowWire> {
        let done = |noted: &Noted| {
            let (time_s, action) = noted.action.as_ref()?;
            let row = ActionRow::from(action);
            let (time_s, entry) = (*time_s, noted.entry);
            let ActionRow { action, value, unit, note } = row;
            Some(ActionRowWire { time_s, action, value, unit, note, entry })
        };
        self.noted.iter().filter_map(done).collect()
    }

    /// The glass readings that hold, corrected; one that no liquid gives is left out.
    pub(crate) fn gauges(&self) -> Vec<GaugeRowWire> {
        let read = |noted: &Noted| {
            let Some((time_s, Action::Gauge { apparent_vol, celsius })) = noted.action else {
                return None;
            };
            let is = gauge(GaugeInput::new(apparent_vol, celsius, Scale::Vol20)).ok()?;
            Some(GaugeRowWire { time_s, true_vol: is.strength_vol_20c })
        };
        self.noted.iter().filter_map(read).collect()
    }

    /// Events after `known`, the oldest first; none where there are too many.
    pub(crate) fn missed(&self, known: u64) -> Option<Vec<Said>> {
        let from = self.events.partition_point(|(entry, _)| *entry <= known);
        let missed = &self.events[from..];
        let said = |(entry, event): &(u64, EventWire)| Said::Event(*entry, json(event));
        (missed.len() <= MISSED_MAX).then(|| missed.iter().map(said).collect())
    }

    /// Adds an event.
    pub(crate) fn event(&mut self, entry: u64, event: &Event) -> Said {
        let event = EventWire::from(event);
        let said = Said::Event(entry, json(&event));
        self.events.push((entry, event));
        said
    }
}

/// A value of the wire as text.
pub(crate) fn json(value: &impl serde::Serialize) -> Arc<str> {
    serde_json::to_string(value)
        .expect("types of the wire have text keys and no maps of others")
        .into()
}

impl From<&StoredEvent> for EventWire {
    fn from(event: &StoredEvent) -> Self {
        let kind = match event.kind.as_str() {
            "prompt" => EventKindWire::Prompt,
            "alarm" => EventKindWire::Alarm,
            "step" => EventKindWire::Step,
            _ => EventKindWire::State,
        };
        let priority = match event.priority.as_str() {
            "critical" => PriorityWire::Critical,
            "high" => PriorityWire::High,
            "medium" => PriorityWire::Medium,
            _ => PriorityWire::Low,
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
