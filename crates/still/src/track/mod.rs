//! A still followed through what was really done to it, and on from there by its plan.
//!
//! The same equations as the forecast of a plan; heater and take-off of the past are inputs. The
//! state is kept at the integrator's own steps only and read between them in straight lines, so
//! that a whole run costs a few milliseconds: an estimate makes hundreds of them.

mod ahead;
mod machine;
mod notes;
mod points;

pub use machine::{Machine, track};
pub use points::{End, Ends, PROBE_SIDE, Point, StepEnd, Track};

use crate::plan::{RunPlan, TakeOff};

/// What was set from `start_s` on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Run time, s.
    pub start_s: f64,
    /// Heater power, W.
    pub heater_w: f64,
    /// Take-off.
    pub take_off: TakeOff,
}

/// The past of a run: spans in order of time, the first at 0.
#[derive(Debug, Clone, PartialEq)]
pub struct Past {
    /// What was set.
    pub spans: Vec<Span>,
    /// Up to when, s.
    pub until_s: f64,
    /// When vapour was seen to reach the head, where it was.
    pub vapour_s: Option<f64>,
    /// When the first hearts began, where they have.
    pub hearts_s: Option<f64>,
}

/// What is to come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ahead<'a> {
    /// The plan.
    pub plan: &'a RunPlan,
    /// The step that runs.
    pub step_index: usize,
    /// When it began, s.
    pub step_start_s: f64,
    /// Power now, W.
    pub heater_w: f64,
    /// Take-off now.
    pub take_off: TakeOff,
    /// Real power of the heater over what a plan says.
    pub heater_factor: f64,
    /// What the valve gives over what a plan says, in later steps.
    pub valve: f64,
    /// How long after a step's end a person begins the next one, s: meanwhile it goes on as it was.
    pub late_s: f64,
    /// Whether to go on to the plan's stop, or only to the end of the hearts.
    pub whole: bool,
}
