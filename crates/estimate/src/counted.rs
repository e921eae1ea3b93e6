//! What one run counts for in how a person runs a still.

use serde::{Deserialize, Serialize};

/// A change later than this was not late but forgotten (judgement), s.
const LATE_MOST_S: f64 = 900.0;

/// When the steps of a run were begun, against when they were due.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Changes {
    /// Steps that were begun when their trigger was met or later.
    pub after_trigger: u32,
    /// How late these were in all, s.
    pub late_s: f64,
    /// Hearts that were over where the plan has slow ones.
    pub slow_phases: u32,
    /// Of these, with slow hearts that were begun before their trigger was met.
    pub early: u32,
}

/// What one run counts for.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Counted {
    /// When its steps were begun.
    pub changes: Changes,
    /// Pauses in its hearts, and how long they lasted in all, s.
    pub pauses: u32,
    /// How long these lasted in all, s.
    pub paused_s: f64,
    /// Whether its hearts were slowed down outside the plan.
    pub slowed: bool,
    /// How far it is believed at the end that the charge was not as strong as stated, from 0 to 1.
    pub wrong_strength: f64,
    /// The same of a head that drifts.
    pub drift: f64,
    /// The same of a heater that gave less from a moment on.
    pub weak_heater: f64,
}

impl Changes {
    /// A step begun so long after its trigger, s.
    pub fn begun(&mut self, late_s: f64) {
        self.after_trigger += 1;
        self.late_s += late_s.clamp(0.0, LATE_MOST_S);
    }

    /// Hearts that the plan goes on with slowly are over, with the slow ones begun early or not.
    pub fn slow_phase(&mut self, early: bool) {
        self.slow_phases += 1;
        self.early += u32::from(early);
    }
}
