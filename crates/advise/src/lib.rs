//! The live engine: readings, actions and ticks of run time in; events and advice out.

mod alarm_list;
mod alarms;
mod ask;
mod asking;
mod belief;
mod below;
mod channels;
mod coolant;
mod coolant_usual;
mod drawn;
mod due;
mod engine;
mod error;
mod event;
mod finding;
mod forecasts;
mod hand;
mod hazards;
mod head_out;
mod heat;
mod heater_power;
mod jars;
mod knowledge;
mod lessons;
mod level;
mod load;
mod lost;
mod numbers;
mod off_plan;
mod parts;
mod phase;
mod probes;
mod prompts;
mod recognise;
mod replay;
mod review;
mod rules;
mod spirit;
mod triggers;
mod unseen;
mod vapour;
mod watch;
mod weigh;
mod weighing;

pub use asking::{ASK_EVERY_S, Answer, Request};
pub use engine::{Live, LiveOptions};
pub use error::AdviseError;
pub use event::{Event, EventKind, Priority};
pub use finding::state_event;
pub use forecasts::{Forecasts, Outset, outset};
pub use knowledge::{
    Account, Act, AlarmNow, AlarmState, Channel, ChannelState, ChargeBelief, Doubt, End, Evidence,
    Ground, Helps, Instruction, Jar, Knowledge, Quiet, Rise, RunEnd, Spirit, State, StepNow,
    Suppressed, Unknown, Value, What,
};
pub use lessons::{changes, learn};
pub use replay::{RUN_SECONDS_MAX, replay, replay_as, replay_until};
pub use review::{AlarmReview, MadeQuiet, WorstAlarm};
pub use rules::{Phase, alarm_codes, alarm_words, coolant_inlet_warmer_k};
