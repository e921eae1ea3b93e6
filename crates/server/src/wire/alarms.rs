//! Alarms as they stand, told further and looked back at, on the wire.

use serde::Serialize;
use utoipa::ToSchema;

use super::event::PriorityWire;
use super::twin::{enum_twin, exact_twin};
use crate::alerts::{Alerts, OutputResult, OutputState};

/// The outputs of the program itself.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct OutputsWire {
    /// Why `alarms.toml` is not at work, with its line and key.
    pub(crate) refused: Option<String>,
    /// Whether a command is set.
    pub(crate) command: bool,
    /// Whether the terminal's bell rings.
    pub(crate) bell: bool,
    /// Who is called when nobody answers.
    pub(crate) second_person: Option<String>,
    /// Least priority that is told.
    pub(crate) from: PriorityWire,
    /// What came of each the last time that an alarm was told.
    pub(crate) last: Vec<OutputWire>,
    /// How many alarms wait to be told.
    pub(crate) waiting: usize,
    /// How many were dropped because too many waited.
    pub(crate) dropped: u64,
}

/// What came of one output.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct OutputWire {
    /// `command`, `bell` or `second_person`.
    pub(crate) output: String,
    /// Whether the settings name it.
    pub(crate) set: bool,
    /// Why it was not told; none where it was.
    pub(crate) failed: Option<String>,
}

/// What came of a test.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct TestedWire {
    /// Of each output.
    pub(crate) outputs: Vec<OutputWire>,
}

impl OutputsWire {
    pub(crate) fn new(alerts: &Alerts) -> Self {
        let (settings, state) = (alerts.outputs().settings(), alerts.outputs().state());
        let OutputState { last, waiting, dropped } = state;
        Self {
            refused: alerts.refused().map(ToString::to_string),
            command: settings.command.is_some(),
            bell: settings.bell,
            second_person: settings.second_person.clone(),
            from: settings.from.into(),
            last: last.into_iter().map(OutputWire::from).collect(),
            waiting,
            dropped,
        }
    }
}

impl From<OutputResult> for OutputWire {
    fn from(result: OutputResult) -> Self {
        let OutputResult { output, set, failed } = result;
        Self { output: output.to_owned(), set, failed }
    }
}

impl From<Vec<OutputResult>> for TestedWire {
    fn from(results: Vec<OutputResult>) -> Self {
        Self { outputs: results.into_iter().map(OutputWire::from).collect() }
    }
}

exact_twin!(
    /// One alarm over a run.
    WorstAlarmWire, advise::WorstAlarm, {
        /// Its code.
        code: String,
        /// What it is about, in words.
        words: String,
        /// How urgent it was at most.
        priority: PriorityWire,
        /// How often it came, or got worse.
        times: u64,
        /// How long its cause was there, s.
        stood_s: f64,
    }
);
exact_twin!(
    /// One time that an alarm was made quiet.
    MadeQuietWire, advise::MadeQuiet, {
        /// Its code.
        code: String,
        /// What it is about, in words.
        words: String,
        /// When, run time in s.
        from_s: f64,
        /// For how long, s.
        lasts_s: f64,
        /// Why.
        reason: String,
    }
);
exact_twin!(
    /// The alarms of a run.
    AlarmReviewWire, advise::AlarmReview, {
        /// How long the run was, s.
        run_s: f64,
        /// How many came in all.
        alarms: u64,
        /// How many an hour.
        per_hour: f64,
        /// How often the second person was to be called.
        second_person: u64,
        /// Those that came most often, ten at most.
        worst: Vec<WorstAlarmWire>,
        /// What was made quiet, in order.
        quiet: Vec<MadeQuietWire>,
    }
);
enum_twin!(
    /// State of an alarm that is not normal.
    AlarmStateWire, advise::AlarmState,
    /// Its cause is there and nobody has seen it: it sounds.
    ActiveUnseen,
    /// Its cause is there and somebody has seen it.
    ActiveSeen,
    /// Its cause went before anybody saw it.
    ClearedUnseen,
    /// Its cause is gone and somebody has seen it: to be reset.
    ClearedSeen,
    /// A person made it quiet.
    Quiet
);
exact_twin!(
    /// An alarm that is not normal.
    AlarmNowWire, advise::AlarmNow, {
        /// Its code.
        code: String,
        /// What it is about, in words.
        words: String,
        /// Its state.
        state: AlarmStateWire,
        /// How soon it must be looked at.
        priority: PriorityWire,
        /// When it came, run time in s.
        raised_s: f64,
        /// The alarm that came first and that it follows from.
        follows: Option<String>,
        /// Whether it comes again and again.
        chatters: bool,
        /// Whether it stands long.
        stands_long: bool,
    }
);
exact_twin!(
    /// An alarm that is not raised in this phase of the run.
    SuppressedWire, advise::Suppressed, {
        /// Its code.
        code: String,
        /// What it is about, in words.
        words: String,
        /// Why it is not raised.
        because: String,
    }
);
