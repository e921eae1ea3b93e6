//! A still followed through what was really done to it, and on from there by its plan.
//!
//! The same equations as the forecast of a plan; heater and take-off of the past are inputs. The
//! state is kept at the integrator's own steps only and read between them in straight lines, so
//! that a whole run costs a few milliseconds: an estimate makes hundreds of them.

mod ahead;
mod machine;
mod notes;
mod points;

pub use ahead::{Ahead, End, Ends};
pub use machine::{Machine, track};
pub use points::{Point, StepEnd, Track};

use crate::plan::TakeOff;

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
