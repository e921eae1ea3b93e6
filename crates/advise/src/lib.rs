//! The live engine: readings, actions and ticks of run time in; events and advice out.

mod alarms;
mod ask;
mod asking;
mod belief;
mod below;
mod channels;
mod coolant;
mod drawn;
mod due;
mod engine;
mod error;
mod event;
mod forecasts;
mod hand;
mod head_out;
mod heat;
mod jars;
mod knowledge;
mod lessons;
mod level;
mod numbers;
mod parts;
mod probes;
mod prompts;
mod recognise;
mod replay;
mod spirit;
mod triggers;
mod unseen;
mod vapour;
mod watch;

pub use alarms::{alarm_words, state_event};
pub use asking::{ASK_EVERY_S, Answer, Request};
pub use engine::{Live, LiveOptions};
pub use error::AdviseError;
pub use event::{Event, EventKind, Priority};
pub use forecasts::{Forecasts, Outset, outset};
pub use knowledge::{
    Account, Act, Channel, ChannelState, ChargeBelief, Doubt, End, Evidence, Ground, Helps,
    Instruction, Jar, Knowledge, Quiet, Rise, RunEnd, Spirit, State, StepNow, Unknown, Value, What,
};
pub use lessons::{changes, learn};
pub use replay::{RUN_SECONDS_MAX, replay, replay_as, replay_until};
