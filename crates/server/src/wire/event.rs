//! What the engine says once, on the wire.

use super::twin::{enum_twin, exact_twin};

enum_twin!(
    /// Kind of event.
    EventKindWire, advise::EventKind, Prompt, Alarm, Step, State
);
enum_twin!(
    /// How soon it must be looked at.
    PriorityWire, advise::Priority, Low, Medium, High, Critical
);
exact_twin!(
    /// One event: what, how sure, what to do, how long there is.
    EventWire, advise::Event, {
        /// Run time, s.
        time_s: f64,
        /// Kind.
        kind: EventKindWire,
        /// Stable code.
        code: String,
        /// How soon.
        priority: PriorityWire,
        /// What is the matter.
        text: String,
        /// How we know, and how surely.
        how_sure: String,
        /// What to do first.
        #[serde(rename = "do")]
        to_do: String,
        /// How long there is, s.
        within_s: Option<f64>,
    }
);
