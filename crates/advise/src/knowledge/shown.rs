//! Lists that a screen shows: channels, jars, what was made quiet, doubts, what helps.

use still::plan::StepKind;

use crate::event::Priority;

/// How far a channel can be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChannelState {
    /// Fresh and plausible.
    Good,
    /// Shown, but not to be steered by.
    Doubtful,
    /// Not possible: the number is not shown.
    Bad,
    /// Too old: the number is not shown.
    Stale,
    /// Never read in this run.
    Absent,
}

/// One channel of readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Channel {
    /// Column name in the readings file, as `head_c`.
    pub name: &'static str,
    /// What it is called.
    pub words: &'static str,
    /// Last value that can be shown.
    pub value: Option<f64>,
    /// Age of the last reading, s.
    pub age_s: Option<f64>,
    /// How far it can be trusted.
    pub quality: ChannelState,
    /// Why no further, in words.
    pub reason: Option<String>,
    /// Its instrument, where that should have been calibrated again before: what rests on it is as
    /// sure as that.
    pub overdue: Option<String>,
}

/// A jar of this run.
#[derive(Debug, Clone, PartialEq)]
pub struct Jar {
    /// Number.
    pub number: u32,
    /// Fraction.
    pub cut: StepKind,
    /// Opened (or expected to be), s.
    pub start_s: f64,
    /// Closed (or expected to be full), s; none while open with no expectation.
    pub end_s: Option<f64>,
    /// Volume at 20 °C, mL: measured, or reckoned from the take-off.
    pub volume_ml: f64,
    /// Whether the volume was measured.
    pub measured: bool,
    /// Strength, % vol.
    pub strength_vol: Option<f64>,
    /// Whether the strength was read by the glass.
    pub strength_read: bool,
    /// `filled`, `open` or `expected`.
    pub status: &'static str,
    /// Cleanliness word for the look of its liquid: discard, sharp, faint, clean, `faint_late`, oily.
    pub cleanliness: &'static str,
}

/// An alarm made quiet.
#[derive(Debug, Clone, PartialEq)]
pub struct Quiet {
    /// Alarm code.
    pub code: String,
    /// Until, s.
    pub until_s: f64,
    /// Why.
    pub reason: String,
}

/// State of an alarm that is not normal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AlarmState {
    /// Its cause is there and nobody has seen it: it sounds.
    ActiveUnseen,
    /// Its cause is there and somebody has seen it.
    ActiveSeen,
    /// Its cause went before anybody saw it.
    ClearedUnseen,
    /// Its cause is gone and somebody has seen it: to be reset.
    ClearedSeen,
    /// A person made it quiet.
    Quiet,
}

/// An alarm that is not normal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AlarmNow {
    /// Its code.
    pub code: &'static str,
    /// What it is about, in words.
    pub words: &'static str,
    /// Its state.
    pub state: AlarmState,
    /// How soon it must be looked at.
    pub priority: Priority,
    /// When it came, run time in s.
    pub raised_s: f64,
    /// The alarm that came first and that it follows from.
    pub follows: Option<&'static str>,
    /// Whether it comes again and again.
    pub chatters: bool,
    /// Whether it stands long.
    pub stands_long: bool,
}

/// An alarm that is not raised in this phase of the run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Suppressed {
    /// Its code.
    pub code: &'static str,
    /// What it is about, in words.
    pub words: &'static str,
    /// Why it is not raised.
    pub because: &'static str,
}

/// Something that seems wrong with probes, still or charge.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubt {
    /// Stable code.
    pub code: &'static str,
    /// What, in words.
    pub words: String,
    /// The column of the readings it is about, where it is one.
    pub channel: Option<String>,
    /// Since when, run time in s.
    pub since_s: f64,
    /// How sure, in words ("9 in 10").
    pub odds: String,
    /// Why, in words.
    pub why: String,
}

/// An answer that cannot be given, or not be trusted, now.
#[derive(Debug, Clone, PartialEq)]
pub struct Unknown {
    /// Which: `end`, `litres`, `strength`, `charge`, `rise`, `pot`, `head`, `drawn`.
    pub what: String,
    /// The same in words.
    pub words: String,
    /// Why, in words.
    pub why: String,
}

/// Something to do that would narrow a band.
#[derive(Debug, Clone, PartialEq)]
pub struct Helps {
    /// Code of the action.
    pub action: String,
    /// In words, beginning with a verb.
    pub text: String,
    /// The 80 % band of the end becomes narrower by this share.
    pub end_gain: f64,
    /// The 80 % band of the litres becomes narrower by this share.
    pub litres_gain: f64,
}
