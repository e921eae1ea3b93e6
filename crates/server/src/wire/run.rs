//! A run on the wire: how it is begun, the list, the whole of it.

use serde::{Deserialize, Serialize};
use store::rows::ReadingRow;
use utoipa::{IntoParams, ToSchema};

use super::event::EventWire;
use super::forecast::ForecastWire;
use super::knowledge::{KnowledgeWire, RunEndWire};
use super::plan::RunPlanWire;
use super::reading::ReadingRowWire;
use super::record::{ActionRowWire, EnteredWire};

/// Real, or a simulated still.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum ModeWire {
    /// A real still.
    Real,
    /// A simulated one.
    Rehearsal,
}

/// A run to begin.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct NewRunAsk {
    /// The plan.
    pub(crate) plan: RunPlanWire,
    /// Numbers of the plan as they were typed, where that was in other units: `charge.litres`,
    /// `step[2].until_ml`.
    #[serde(default)]
    pub(crate) entered: Vec<EnteredWire>,
    /// Real or rehearsal.
    pub(crate) mode: ModeWire,
    /// Rehearsal: run seconds per second, 0 to 10 000; absent = 1.
    #[serde(default)]
    pub(crate) speed: Option<f64>,
    /// Rehearsal: seed of the probes' noise; absent = 1.
    #[serde(default)]
    pub(crate) seed: Option<u64>,
    /// Rehearsal: whether a stand-in attendant does what is due; absent = false.
    #[serde(default)]
    pub(crate) attendant: Option<bool>,
    /// Rehearsal: whether a scale stands under the jar, `receiver_kg`; absent = false.
    #[serde(default)]
    pub(crate) scale: Option<bool>,
    /// Rehearsal of the example house, kept out of the person's own log; absent = false.
    #[serde(default)]
    pub(crate) example: Option<bool>,
    /// Real: the heater is on already at the planned power, run time begins now; absent = run time begins when
    /// `heater` is recorded with more than 0 W.
    #[serde(default)]
    pub(crate) started: Option<bool>,
}

/// A run's id.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct RunIdWire {
    /// The id.
    pub(crate) id: String,
}

/// Which runs to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(crate) struct RunsAsk {
    /// Words that must stand in name, still, date (as `2026-10-03`) or id; absent = all runs.
    #[serde(default)]
    pub(crate) search: Option<String>,
    /// `true`: rehearsals of the example house instead of the person's own runs.
    #[serde(default)]
    pub(crate) example: bool,
}

/// Which run to follow.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(crate) struct EventsAsk {
    /// Id of the run.
    pub(crate) run: String,
    /// Number of the last entry known: what was said after it is sent first. The header
    /// `Last-Event-ID`, which a browser sends when it comes back, wins. Without both, only what
    /// is said from now on.
    #[serde(default)]
    pub(crate) after: Option<u64>,
}

/// What is sent again to one who comes back to the feed of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct ResumedWire {
    /// Number of the last entry they knew.
    pub(crate) after: u64,
    /// How many events were said since and follow.
    pub(crate) events: usize,
    /// Whether that is all; else `reload` follows: ask for the whole run again.
    pub(crate) whole: bool,
}

/// Where a run comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum RunKindWire {
    /// A real still, attended with this program.
    Real,
    /// A simulated one.
    Rehearsal,
    /// Read from a folder.
    Imported,
}

/// How far a run has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum RunStateWire {
    /// Not heating yet.
    Planned,
    /// Between heater on and its end.
    Running,
    /// Over.
    Ended,
    /// Given up: it teaches nothing.
    Abandoned,
}

/// A line of the list of runs.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct RunSummaryWire {
    /// Id.
    pub(crate) id: String,
    /// What the person calls it.
    pub(crate) title: String,
    /// Name of its still.
    pub(crate) still: String,
    /// Litres of its charge.
    pub(crate) litres: f64,
    /// Where it comes from.
    pub(crate) mode: RunKindWire,
    /// Whether a simulated still was rehearsed on; none for a folder that does not say.
    pub(crate) rehearsed: Option<bool>,
    /// Whether of the example house.
    pub(crate) example: bool,
    /// How far it has come.
    pub(crate) state: RunStateWire,
    /// Why it was given up, if it was.
    pub(crate) abandoned: Option<String>,
    /// Heater on, ms UTC; before that, when it was begun.
    pub(crate) started_ms: i64,
    /// The zone of its plan, minutes east of UTC.
    pub(crate) zone_offset_minutes: i32,
    /// Whether it is over.
    pub(crate) ended: bool,
    /// Whether it counts for what is learned, should it teach.
    pub(crate) counts_for_learning: bool,
}

/// The check list as it was signed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct ChecksWire {
    /// The lines that were ticked, in words.
    pub(crate) ticked: Vec<String>,
    /// Who signed.
    pub(crate) by: Option<String>,
    /// Number of the entry that holds it.
    pub(crate) entry: u64,
    /// Each line with who signed it, and when.
    pub(crate) signed: Vec<SignedWire>,
}

/// A line of the check list as it was signed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct SignedWire {
    /// The line, in words.
    pub(crate) line: String,
    /// Who signed it.
    pub(crate) by: Option<String>,
    /// When, ms UTC.
    pub(crate) at_ms: i64,
}

/// What is to be looked at before heat.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct BeforeHeatWire {
    /// Which item, as `fill`.
    pub(crate) code: &'static str,
    /// What is signed.
    pub(crate) words: String,
    /// What was reckoned of this still and charge, in words.
    pub(crate) figure: Option<String>,
    /// Why it is asked.
    pub(crate) reason: &'static str,
    /// `holds` or `fails` where it was reckoned; `asked` where only a person can tell.
    pub(crate) finding: &'static str,
}

impl From<still::before_heat::Item> for BeforeHeatWire {
    fn from(item: still::before_heat::Item) -> Self {
        let still::before_heat::Item { code, words, figure, reason, finding } = item;
        Self { code, words, figure, reason, finding: finding.name() }
    }
}

/// Which part of a log.
#[derive(Debug, Clone, Copy, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(crate) struct LogAsk {
    /// Only what stands before the entry of this number; absent = from the newest on.
    #[serde(default)]
    pub(crate) before: Option<u64>,
    /// Most lines, 1 to 500; absent = 100.
    #[serde(default)]
    pub(crate) limit: Option<usize>,
}

/// A part of a log, the newest first.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct LogWire {
    /// The lines.
    pub(crate) entries: Vec<LogEntryWire>,
    /// Whether there is more before them.
    pub(crate) more: bool,
    /// What to ask for as `before` to get it.
    pub(crate) next_before: Option<u64>,
}

/// What can be done about a line of the log.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct LogCanWire {
    /// It can be taken back.
    pub(crate) undo: bool,
    /// Another can be put in its place.
    pub(crate) correct: bool,
}

/// A line of the log.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct LogEntryWire {
    /// Number of the entry; of rows that were read one after the other, the last.
    pub(crate) entry: u64,
    /// Run time, s, of what has one.
    pub(crate) time_s: Option<f64>,
    /// When it was stored, ms UTC.
    pub(crate) stored_ms: i64,
    /// `run`, `plan`, `readings`, `action`, `step`, `begins`, `jar`, `note`, `said`, `moved`,
    /// `alarm`, `checks`, `amended` or `learning`.
    pub(crate) kind: String,
    /// What it says.
    pub(crate) words: String,
    /// More of it, or a remark.
    pub(crate) note: String,
    /// Entry that took it back.
    pub(crate) withdrawn_by: Option<u64>,
    /// Entry that took its place.
    pub(crate) corrected_by: Option<u64>,
    /// What can be done about it.
    pub(crate) can: LogCanWire,
}

/// What was measured, as columns, thinned for drawing.
#[derive(Debug, Clone, Default, PartialEq, Serialize, ToSchema)]
pub(crate) struct ColumnsWire {
    /// Run time, s.
    pub(crate) time_s: Vec<f64>,
    /// Head, °C.
    pub(crate) head_c: Vec<Option<f64>>,
    /// Pot, °C.
    pub(crate) pot_c: Vec<Option<f64>>,
    /// Rise above the plateau, K.
    pub(crate) rise_k: Vec<Option<f64>>,
    /// Litres at 20 °C drawn so far.
    pub(crate) litres: Vec<Option<f64>>,
    /// Strength of what ran, % vol.
    pub(crate) strength_vol: Vec<Option<f64>>,
}

/// One point of the drawings.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub(crate) struct PointWire {
    /// Run time, s.
    pub(crate) time_s: f64,
    /// Head, °C.
    pub(crate) head_c: Option<f64>,
    /// Pot, °C.
    pub(crate) pot_c: Option<f64>,
    /// Rise above the plateau, K.
    pub(crate) rise_k: Option<f64>,
    /// Litres at 20 °C drawn so far.
    pub(crate) litres: Option<f64>,
    /// Strength of what runs, % vol.
    pub(crate) strength_vol: Option<f64>,
}

/// What the live feed sends as `knowledge`.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct KnowledgeMessageWire {
    /// Everything that is known now.
    pub(crate) knowledge: KnowledgeWire,
    /// Run time 0 by the clock as it goes now, ms UTC; absent before heat.
    pub(crate) started_ms: Option<i64>,
    /// Number of the newest entry that a person or a stand-in made, withdrew or corrected.
    pub(crate) recorded: u64,
    /// The newest point of the drawings.
    pub(crate) point: Option<PointWire>,
}

/// What the live feed sends as `recorded`: somebody recorded or withdrew something.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct RecordedWire {
    /// Number of its last entry.
    pub(crate) entry: u64,
}

/// A glass reading in the spirit, corrected.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub(crate) struct GaugeRowWire {
    /// Run time, s.
    pub(crate) time_s: f64,
    /// True strength, % vol at 20 °C.
    pub(crate) true_vol: f64,
}

/// A row that a person read, as it was entered.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub(crate) struct HandReadingWire {
    /// Number of its entry.
    pub(crate) entry: u64,
    /// When, and what was read.
    #[schema(value_type = ReadingRowWire)]
    pub(crate) row: ReadingRow,
}

/// The whole of a run as it stands.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct RunWire {
    /// Id.
    pub(crate) id: String,
    /// Its plan.
    pub(crate) plan: RunPlanWire,
    /// Real or rehearsal.
    pub(crate) mode: ModeWire,
    /// Rehearsal: run seconds per second.
    pub(crate) speed: Option<f64>,
    /// Rehearsal: whether a stand-in attends.
    pub(crate) attendant: Option<bool>,
    /// Whether of the example house.
    pub(crate) example: bool,
    /// Real: when run time 0 was, ms UTC (heater on; before that, when the run was begun).
    /// Rehearsal: when it was begun.
    pub(crate) started_ms: i64,
    /// Whether run time is counting.
    pub(crate) started: bool,
    /// The run's own zone, minutes east of UTC.
    pub(crate) zone_offset_minutes: i32,
    /// The forecast of the plan.
    pub(crate) forecast: Option<ForecastWire>,
    /// Everything that is known now.
    pub(crate) knowledge: KnowledgeWire,
    /// What was measured.
    pub(crate) readings: ColumnsWire,
    /// What the person calls it.
    pub(crate) title: String,
    /// Why it was given up, if it was.
    pub(crate) abandoned: Option<String>,
    /// The check list, once signed.
    pub(crate) checks: Option<ChecksWire>,
    /// What is to be looked at before heat, made from this still and this charge.
    pub(crate) before_heat: Vec<BeforeHeatWire>,
    /// What one jar holds, mL, where it was said.
    pub(crate) jar_size_ml: Option<f64>,
    /// Glass readings, corrected.
    pub(crate) gauges: Vec<GaugeRowWire>,
    /// What was done and not withdrawn.
    pub(crate) actions: Vec<ActionRowWire>,
    /// What a person read, and not withdrawn.
    pub(crate) read_by_hand: Vec<HandReadingWire>,
    /// What was said.
    pub(crate) events: Vec<EventWire>,
    /// Number of the last entry of the log that is in here.
    pub(crate) last_entry: u64,
    /// How it ended, once it has.
    pub(crate) ended: Option<RunEndWire>,
}
