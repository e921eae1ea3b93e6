//! What the engine says once: a prompt, an alarm, a new step, a new state.

/// Kind of event.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum EventKind {
    /// Something is due.
    Prompt,
    /// Act, or harm follows.
    Alarm,
    /// A step of the plan began.
    Step,
    /// What is known changed (plateau fixed, data back, alarm over, run ended).
    State,
}

/// How soon it must be looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Priority {
    /// At the next look.
    Low,
    /// Within 20 min.
    Medium,
    /// Within 5 min.
    High,
    /// Within 1 min.
    Critical,
}

/// One event. Every prompt and alarm says what, how sure, what to do, how long there is.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Event {
    /// Run time, s.
    pub time_s: f64,
    /// Kind.
    pub kind: EventKind,
    /// Stable code, as `coolant_on`, `hearts_end_near`, `data_stale`.
    pub code: &'static str,
    /// How soon.
    pub priority: Priority,
    /// What is the matter, one sentence.
    pub text: String,
    /// How we know, and how surely.
    pub how_sure: String,
    /// What to do first (empty for step and state).
    #[serde(rename = "do")]
    pub to_do: String,
    /// How long there is, s; none where no time is known.
    pub within_s: Option<f64>,
}
