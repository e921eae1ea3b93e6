//! What the rule of an alarm says; the rules themselves are made from `alarms.toml`.

mod table;

use crate::event::Priority;
pub(crate) use table::*;

/// Where a run stands, as far as alarms go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// No heat was recorded or seen.
    BeforeHeat,
    /// Heat is on and no vapour is about.
    HeatUp,
    /// Vapour is about.
    Boil,
    /// Heat is off and the still boils no more.
    Cooling,
    /// It is cold.
    Cold,
}

/// An alarm.
#[derive(Debug, PartialEq)]
pub(crate) struct Rule {
    pub(crate) code: &'static str,
    pub(crate) words: &'static str,
    /// Alarms of one group follow from each other.
    pub(crate) group: &'static str,
    /// Which comes first in it where both come in one second.
    pub(crate) rank: u8,
    /// It is over after so long without its cause, s.
    pub(crate) off_delay_s: f64,
    /// Whether it may be made quiet while it is not critical.
    pub(crate) hush: bool,
    /// Phases in which it is not raised.
    pub(crate) suppressed: &'static [Phase],
    /// Why.
    pub(crate) because: &'static str,
}

/// One way in which an alarm is raised.
#[derive(Debug, PartialEq)]
pub(crate) struct Cause {
    pub(crate) code: &'static str,
    pub(crate) name: &'static str,
    pub(crate) priority: Priority,
    pub(crate) to_do: &'static str,
    /// How long there is, s.
    pub(crate) within_s: Option<f64>,
    /// It must last so long, s.
    pub(crate) on_delay_s: f64,
    /// What is compared with; 0 where the rule has no such number.
    pub(crate) limit: f64,
    /// How far back it must come to be over.
    pub(crate) dead_band: f64,
    /// Phases in which it is not raised.
    pub(crate) suppressed: &'static [Phase],
}

/// When the second person is called.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Calls {
    /// A critical alarm that nobody has seen for so long, s.
    pub(crate) after_s: f64,
    /// Called again after, s.
    pub(crate) again_s: f64,
    /// Called so often at most.
    pub(crate) times: u32,
}

/// How many alarms are too many.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Load {
    /// Counted over so long, s.
    pub(crate) window_s: f64,
    /// So many in it are a flood.
    pub(crate) flood: usize,
    /// One that came so often in it chatters.
    pub(crate) chatters: usize,
    /// One that stands for so long stands long, s.
    pub(crate) stands_long_s: f64,
}

/// The rule of that code.
pub(crate) fn rule(code: &str) -> Option<&'static Rule> {
    RULES.iter().find(|rule| rule.code == code)
}

/// What an alarm is about, in words.
#[must_use]
pub fn alarm_words(code: &str) -> &'static str {
    rule(code).map_or("unknown", |rule| rule.words)
}

/// Codes of all alarms.
pub fn alarm_codes() -> impl Iterator<Item = &'static str> {
    RULES.iter().map(|rule| rule.code)
}

/// From so much warmer than at the plateau on the coolant's inlet is alarmed, K.
#[must_use]
pub fn coolant_inlet_warmer_k() -> f64 {
    COOLANT_INLET_WARMER.limit
}
