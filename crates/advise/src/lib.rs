//! The live engine: readings, actions and ticks of run time in; events and advice out.

mod advice;
mod alarms;
mod ask;
mod barometer;
mod belief;
mod channels;
mod drawn;
mod due;
mod engine;
mod error;
mod event;
mod forecasts;
mod hand;
mod jars;
mod numbers;
mod outlook;
mod plateau;
mod probe;
mod prompts;
mod recognise;
mod replay;
mod sentence;
mod steps;
mod trace;
mod watch;

pub use advice::{
    Advice, Boundary, Channel, ChannelState, Estimate, Expectation, Jar, Next, Quiet, RunEnd, State,
};
pub use ask::{ASK_EVERY_S, Answer, Request};
pub use engine::{Live, LiveOptions};
pub use error::AdviseError;
pub use event::{Event, EventKind, Priority};
pub use forecasts::Forecasts;
pub use replay::{RUN_SECONDS_MAX, replay, replay_until};
