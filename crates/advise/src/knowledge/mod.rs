//! What is known now: the one answer to every question that a screen can ask of a run.
//!
//! Page, far view, terminal, strip, panel, jars and print read this and nothing else. A number that
//! cannot be known now is absent, and [`Knowledge::unknown`] says why.

mod account;
mod assemble;
mod doubts;
mod ends;
mod instruction;
mod jars;
mod moved;
mod reckoned;
mod shown;
mod strength;
mod unknown;
mod words;

use quantities::Band;
use still::outcome::EndedBy;
use still::plan::StepKind;

use crate::event::Event;
pub use shown::{
    AlarmNow, AlarmState, Channel, ChannelState, Doubt, Helps, Jar, Quiet, Suppressed, Unknown,
};

pub(crate) use assemble::COOLANT_LEAD_S;
pub(crate) use doubts::{Doubted, Steady};
pub(crate) use moved::{Moved, Reasons};
pub(crate) use reckoned::COOL_C;
pub(crate) use strength::{FILLING_K, banded};

/// State of the run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// Not heating yet.
    BeforeHeat,
    /// Heating up and filling.
    Heating,
    /// Total reflux.
    Equalising,
    /// Taking foreshots.
    Foreshots,
    /// Taking heads.
    Heads,
    /// Collecting hearts.
    Hearts,
    /// Hearts, slowly.
    SlowHearts,
    /// Taking tails.
    Tails,
    /// Heat is off, still hot.
    CoolingDown,
    /// Heat went off in mid-run.
    Interrupted,
    /// Over and cool.
    Ended,
}

/// A value with its bands, where it comes from, and when it was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Value {
    /// The value: likeliest, 80 and 95 % bands.
    pub at: Band,
    /// Where it comes from, in words.
    pub basis: String,
    /// Run time at which it was found, s.
    pub made_at_s: f64,
}

/// The running step of the plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepNow {
    /// Position in the plan's steps.
    pub index: usize,
    /// Its kind.
    pub kind: StepKind,
    /// What it is called: `slow hearts` for the slow phase, else the kind's word.
    pub name: &'static str,
    /// Whether it is a slow phase.
    pub slow: bool,
    /// When it began, run time in s.
    pub started_s: f64,
}

/// What comes to an end, or comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    /// The first vapour reaches the head.
    FirstVapour,
    /// Stages and drum are full.
    Filled,
    /// A step of the plan ends.
    StepEnd,
    /// The plan is through.
    Stop,
    /// The head is cool.
    Cool,
}

/// What a moment to come is known from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Evidence {
    /// It was seen: it is now.
    Seen,
    /// A fit to everything measured so far.
    Measured,
    /// Take-off, litres and minutes so far, carried on.
    Reckoned,
    /// The forecast of the plan.
    Forecast,
}

/// A moment to come.
#[derive(Debug, Clone, PartialEq)]
pub struct End {
    /// What comes.
    pub what: What,
    /// The step that ends, where one does.
    pub step_index: Option<usize>,
    /// The whole phrase that a time follows: "Fast hearts should end".
    pub words: String,
    /// What then begins, in two or three words: "hearts begin".
    pub short: &'static str,
    /// What should end it, where that is known.
    pub ends_by: Option<EndedBy>,
    /// When, run time in s.
    pub at: Band,
    /// Run time at which this was found, s.
    pub made_at_s: f64,
    /// What it is known from.
    pub evidence: Evidence,
    /// The same in words.
    pub basis: String,
    /// Why it should not be trusted, where it should not.
    pub unsure: Option<String>,
}

/// What one key may do for an instruction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Act {
    /// Begin step `step` of the plan after step `after`.
    Begin {
        /// The step to begin.
        step: usize,
        /// The step that runs.
        after: usize,
    },
    /// The coolant now runs at this flow, L/min; 0 closes it.
    Coolant {
        /// Flow, L/min.
        l_per_min: f64,
    },
    /// The heater now has this power, W.
    Heater {
        /// Power, W.
        watts: f64,
    },
    /// Jar `number` now stands under the spout.
    Jar {
        /// Its number.
        number: u32,
    },
    /// Somebody is at the still.
    Here,
}

/// What an instruction rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ground {
    /// Its trigger was seen.
    Seen,
    /// A forecast made within the running step.
    Forecast,
    /// The order of the plan.
    Plan,
}

/// What is to be done next.
#[derive(Debug, Clone, PartialEq)]
pub struct Instruction {
    /// Code, as of a prompt.
    pub code: &'static str,
    /// In words, starting with a verb ("open the coolant").
    pub text: String,
    /// Whether it is to be done now: only where its trigger was seen.
    pub now: bool,
    /// When, run time in s; none where no time is known.
    pub due: Option<Band>,
    /// What it rests on.
    pub from: Ground,
    /// What one key may do for it.
    pub act: Option<Act>,
}

/// The head over this run's plateau.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rise {
    /// Pressure-corrected, K.
    pub kelvin: f64,
    /// The rise that ends the running step, K.
    pub trigger_k: Option<f64>,
    /// The plateau at the present pressure, °C.
    pub plateau_c: f64,
}

/// Spirit that was drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Spirit {
    /// Litres at 20 °C.
    pub litres: Value,
    /// Litres of pure alcohol in it.
    pub pure_alcohol_l: Value,
    /// Strength of all of it together, % vol.
    pub strength: Option<Value>,
}

/// Where the pure alcohol of the charge is, L. The middles of the four parts add up to the middle of
/// what was charged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Account {
    /// In the charge.
    pub charged_l: Band,
    /// Drawn.
    pub drawn_l: Band,
    /// Held in column and drum.
    pub held_l: Band,
    /// Lost as vapour.
    pub lost_l: Band,
    /// Left in the pot.
    pub left_l: Band,
}

/// What is believed of the charge now.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChargeBelief {
    /// Litres at 20 °C.
    pub litres: Band,
    /// Strength, % vol.
    pub strength_vol: Band,
}

/// How the run ended.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct RunEnd {
    /// When, s.
    pub time_s: f64,
    /// Why.
    pub ended_by: EndedBy,
    /// Litres at 20 °C drawn.
    pub litres_20c: f64,
    /// Litres of pure alcohol drawn.
    pub pure_alcohol_l: f64,
}

/// Everything that is known now.
#[derive(Debug, Clone, PartialEq)]
pub struct Knowledge {
    /// Run time of this snapshot, s.
    pub time_s: f64,
    /// State of the run.
    pub state: State,
    /// The running step.
    pub step: StepNow,
    /// First words of the sentence ("Collecting hearts.").
    pub headline: String,
    /// What is to come, in order of time; the sentence tells the first.
    pub ends: Vec<End>,
    /// What is to be done next.
    pub instruction: Option<Instruction>,
    /// The head over the plateau; none until this run's plateau is known and while the head is not
    /// read.
    pub rise: Option<Rise>,
    /// Strength of what runs now, % vol.
    pub strength_now: Option<Value>,
    /// What was drawn as hearts.
    pub hearts: Option<Spirit>,
    /// Everything drawn.
    pub drawn: Option<Spirit>,
    /// Litres of hearts still to come.
    pub hearts_to_come_l: Option<Value>,
    /// Litres of hearts in all, those to come included.
    pub hearts_in_all_l: Option<Value>,
    /// Jars still needed for the hearts.
    pub jars_to_come: Option<Band>,
    /// Where the pure alcohol is.
    pub account: Account,
    /// What is believed of the charge.
    pub charge: ChargeBelief,
    /// Take-off now, mL/min at 20 °C.
    pub takeoff_ml_per_min: Option<Value>,
    /// Heater power, as metered or else as recorded, W.
    pub heater_w: Option<f64>,
    /// Coolant flow, as read or else as recorded, L/min.
    pub coolant_l_per_min: Option<f64>,
    /// Every channel, read or not.
    pub channels: Vec<Channel>,
    /// Jars filled, open and expected.
    pub jars: Vec<Jar>,
    /// Alarms that stand, most urgent first; of those that follow from each other the first on top.
    pub alarms: Vec<Event>,
    /// Codes of standing alarms a person has seen.
    pub seen: Vec<String>,
    /// Every alarm that is not normal, with its state.
    pub alarm_list: Vec<AlarmNow>,
    /// Alarms that are not raised in this phase of the run.
    pub suppressed: Vec<Suppressed>,
    /// How many alarms came in the last ten minutes.
    pub alarms_in_10_min: usize,
    /// Whether those are more than a person can take in.
    pub alarm_flood: bool,
    /// Prompts that are due and not done, most urgent first.
    pub prompts: Vec<Event>,
    /// What was made quiet.
    pub quiet: Vec<Quiet>,
    /// Seconds until the attendant counts as absent.
    pub attendant_left_s: f64,
    /// What seems wrong.
    pub doubts: Vec<Doubt>,
    /// What cannot be known, or not be trusted, now.
    pub unknown: Vec<Unknown>,
    /// What would make it surer, most helpful first.
    pub would_help: Vec<Helps>,
    /// Run time of the estimate behind the measured answers, s.
    pub estimate_made_at_s: Option<f64>,
    /// Whether that is young enough to be used.
    pub estimate_fresh: bool,
    /// How it ended, once it has.
    pub end: Option<RunEnd>,
}
