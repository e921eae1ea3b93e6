//! Lists that a screen shows: channels, jars, what was made quiet, doubts, what helps.

use still::plan::StepKind;

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
