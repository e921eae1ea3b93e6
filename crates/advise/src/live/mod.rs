//! The live engine: readings, actions and ticks of run time in; events and advice out.

mod advice;
mod alarms;
mod ask;
mod barometer;
mod channels;
mod drawn;
mod due;
mod engine;
mod estimate;
mod event;
mod forecasts;
mod hand;
mod input;
mod jars;
mod numbers;
mod outlook;
mod plateau;
mod probe;
mod prompts;
mod recognise;
mod sentence;
mod steps;
mod trace;
mod watch;

pub use advice::{
    Advice, Boundary, Channel, ChannelState, Estimate, Expectation, Jar, Next, Quiet, RunEnd, State,
};
pub use ask::{ASK_EVERY_S, Answer, Request};
pub use engine::{Live, LiveOptions};
pub use event::{Event, EventKind, Priority};
pub use input::{Action, JarRecord, Reading};
