//! The live engine: readings, actions and ticks of run time in; events and advice out.

mod advice;
mod engine;
mod event;
mod input;

pub use advice::{
    Advice, Boundary, Channel, ChannelState, Estimate, Expectation, Jar, Next, Quiet, RunEnd, State,
};
pub use engine::{Live, LiveOptions};
pub use event::{Event, EventKind, Priority};
pub use input::{Action, JarRecord, Reading};
