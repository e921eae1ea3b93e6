//! What the engine knows now: the whole of what a screen or a terminal needs to show the run.

use serde::Serialize;
use still::outcome::EndedBy;
use still::plan::StepKind;

use super::event::Event;
use estimate::Outlook;

/// State of the run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
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

/// A value with what is believed about it. `low` and `high` bound the 95 % band.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Estimate {
    /// Likeliest value.
    pub value: f64,
    /// Low end of the 95 % band.
    pub low: f64,
    /// High end of the 95 % band.
    pub high: f64,
    /// Where it comes from, in words ("take-off set 24 mL/min since 13:02").
    pub basis: String,
}

/// When something should happen, run time in seconds; `earliest`..`latest` is the 80 % range.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Expectation {
    /// Code of what: `first_vapour`, `head_steady`, `foreshots_end`, `heads_end`, `hearts_end`,
    /// `slow_end`, `tails_end`.
    pub what: &'static str,
    /// Earliest, s.
    pub earliest_s: f64,
    /// Likeliest, s.
    pub likely_s: f64,
    /// Latest, s.
    pub latest_s: f64,
    /// Where it comes from; says so where the head thermometer cannot tell.
    pub basis: String,
}

/// A boundary of the run strip: the end of step `step_index` of the plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Boundary {
    /// Position of the step that ends here.
    pub step_index: usize,
    /// Its kind.
    pub step: StepKind,
    /// Earliest, s.
    pub earliest_s: f64,
    /// Likeliest, s.
    pub likely_s: f64,
    /// Latest, s.
    pub latest_s: f64,
}

/// What is due next.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Next {
    /// Code, as of a prompt.
    pub code: &'static str,
    /// In words, starting with a verb ("open the coolant").
    pub text: String,
    /// When, s; none where no time is known.
    pub due_s: Option<f64>,
}

/// How far a channel can be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ChannelState {
    /// Fresh and plausible.
    Live,
    /// Too old: the number is not shown.
    Stale,
    /// Not possible: the number is not shown.
    Impossible,
    /// Has not moved for too long.
    Frozen,
    /// Never read in this run.
    Absent,
}

/// One channel of readings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Channel {
    /// Column name in the readings file, as `head_c`.
    pub name: &'static str,
    /// Last good value; none when stale or impossible.
    pub value: Option<f64>,
    /// Age of the last reading, s.
    pub age_s: Option<f64>,
    /// How far it can be trusted.
    pub state: ChannelState,
}

/// A jar of this run.
#[derive(Debug, Clone, PartialEq, Serialize)]
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
    /// Reckoned strength, % vol.
    pub strength_vol: Option<f64>,
    /// `filled`, `open` or `expected`.
    pub status: &'static str,
    /// Cleanliness word for the look of its liquid: discard, sharp, faint, clean, `faint_late`, oily.
    pub cleanliness: &'static str,
}

/// An alarm made quiet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Quiet {
    /// Alarm code.
    pub code: String,
    /// Until, s.
    pub until_s: f64,
    /// Why.
    pub reason: String,
}

/// How the run ended.
#[derive(Debug, Clone, PartialEq, Serialize)]
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
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Advice {
    /// Run time of this snapshot, s.
    pub time_s: f64,
    /// State of the run.
    pub state: State,
    /// Position of the running step in the plan.
    pub step_index: usize,
    /// Its kind.
    pub step: StepKind,
    /// When it began, s.
    pub step_started_s: f64,
    /// First words of the sentence ("Collecting hearts.").
    pub headline: String,
    /// What should come and when; none before heat and after the stop.
    pub expectation: Option<Expectation>,
    /// What is due next.
    pub next: Option<Next>,
    /// What the probes cannot tell now, in words.
    pub cannot_know: Option<String>,
    /// This run's plateau at the present pressure, °C.
    pub plateau_c: Option<f64>,
    /// Whether that plateau is provisional.
    pub plateau_provisional: bool,
    /// Head rise above the plateau, pressure-corrected, K.
    pub rise_k: Option<f64>,
    /// Rise that ends the running step, K.
    pub trigger_rise_k: Option<f64>,
    /// Strength of what runs now, % vol.
    pub strength_now: Option<Estimate>,
    /// Strength of everything drawn in hearts so far, % vol.
    pub hearts_strength: Option<Estimate>,
    /// Litres at 20 °C drawn so far.
    pub litres: Option<Estimate>,
    /// Litres of pure alcohol drawn so far.
    pub pure_alcohol_l: Option<Estimate>,
    /// Litres of pure alcohol still in the pot.
    pub pot_alcohol_l: Option<Estimate>,
    /// Take-off now, mL/min at 20 °C.
    pub takeoff_ml_per_min: Option<Estimate>,
    /// Heater power as last recorded, W.
    pub heater_w: Option<f64>,
    /// Coolant flow as last recorded, L/min.
    pub coolant_l_per_min: Option<f64>,
    /// Every channel, read or not.
    pub channels: Vec<Channel>,
    /// Boundaries of the plan still to come; before heat from heater on.
    pub boundaries: Vec<Boundary>,
    /// Jars filled, open and expected.
    pub jars: Vec<Jar>,
    /// Alarms that stand, most urgent first.
    pub alarms: Vec<Event>,
    /// Codes of standing alarms a person has seen.
    pub seen: Vec<String>,
    /// Prompts that are due and not done.
    pub prompts: Vec<Event>,
    /// What was made quiet.
    pub quiet: Vec<Quiet>,
    /// Seconds until the attendant counts as absent.
    pub attendant_left_s: f64,
    /// What is known from all measurements, a minute old at most while it is renewed.
    pub outlook: Option<Outlook>,
    /// How it ended, once it has.
    pub end: Option<RunEnd>,
}
