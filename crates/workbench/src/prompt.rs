//! Whether the prompt before the end of the hearts came in time, once the true end is known.

use serde::Serialize;
use still::plan::{RunPlan, StillKind, TakeOff};

use super::checks::{Check, check};
use super::truth::Truth;
use sense::Action;
use sense::RecordedRun;

/// Code of the prompt that is scored.
pub const NEAR_CODE: &str = "hearts_end_near";
/// Least time from the prompt to the true end, s.
const LEAD_LEAST_S: f64 = 600.0;
/// A prompt that comes no longer than this before the true end is never too early, s.
const EARLY_LEAST_S: f64 = 2700.0;
/// Nor one that comes no more than this share of the hearts before it.
const EARLY_SHARE: f64 = 0.25;
/// Take-off that is left of what was drawn before where the operator slowed down: at most this.
const SLOWER_SHARE: f64 = 0.75;
/// Power that is left of what it was where the operator took the heat away: less than this.
const COOLER_SHARE: f64 = 0.5;
/// What is done this close to the beginning of a step belongs to the plan, s.
const STEP_NEAR_S: f64 = 120.0;

/// Whether the prompt of such a run is scored: a column's. A pot has no plateau to leave.
#[must_use]
pub fn is_scored(plan: &RunPlan) -> bool {
    plan.still.kind == StillKind::Column
}

/// The prompt before the end of the hearts of one column run beside the truth.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "four independent findings, each counted apart")]
pub struct PromptMark {
    /// The run.
    pub run: String,
    /// Family of the recording.
    pub family: String,
    /// Whether nothing was broken.
    pub healthy: bool,
    /// From the first prompt to the true end, s; below 0 after it; none where none came.
    pub lead_s: Option<f64>,
    /// Longest such time that is not too early, s.
    pub early_limit_s: f64,
    /// Whether the operator stopped or slowed outside the plan between the two.
    pub left_plan: bool,
    /// Whether it came less than ten minutes before the true end, or not at all.
    pub late: bool,
    /// Whether it came too early.
    pub early: bool,
}

impl PromptMark {
    /// Scores one run whose first prompt came at run time `prompt_s`, s; none for a pot.
    #[must_use]
    pub fn new(
        run: &str,
        plan: &RunPlan,
        rows: &RecordedRun,
        truth: &Truth,
        prompt_s: Option<f64>,
    ) -> Option<Self> {
        let lead_s = prompt_s.map(|at_s| truth.end_of_hearts_s - at_s);
        let early_limit_s = EARLY_LEAST_S.max(EARLY_SHARE * truth.hearts_s());
        is_scored(plan).then(|| Self {
            run: run.to_owned(),
            family: truth.family.clone().unwrap_or_else(|| "unknown".to_owned()),
            healthy: truth.is_healthy(),
            lead_s,
            early_limit_s,
            left_plan: prompt_s.is_some_and(|at_s| left_plan(rows, at_s, truth.end_of_hearts_s)),
            late: lead_s.is_none_or(|lead_s| lead_s < LEAD_LEAST_S),
            early: lead_s.is_some_and(|lead_s| lead_s > early_limit_s),
        })
    }
}

/// The prompts of all columns.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
#[serde(transparent)]
pub struct PromptTable {
    /// One a run.
    pub marks: Vec<PromptMark>,
}

impl PromptTable {
    /// The bounds on healthy columns beside what was found.
    #[must_use]
    pub fn checks(&self) -> Vec<Check> {
        let healthy: Vec<&PromptMark> = self.marks.iter().filter(|mark| mark.healthy).collect();
        let as_planned: Vec<&PromptMark> =
            healthy.iter().copied().filter(|mark| !mark.left_plan).collect();
        let bounded = |what: &str, of: &[&PromptMark], is: fn(&PromptMark) -> bool, low, high| {
            let found = of.iter().filter(|mark| is(mark)).count();
            let share = found as f64 / of.len() as f64;
            (!of.is_empty()).then(|| check(what.to_owned(), share, low, high))
        };
        let in_time = bounded(
            "healthy columns: prompt at least 10 min before the true end of hearts",
            &healthy,
            |mark| !mark.late,
            0.9,
            1.0,
        );
        let early = bounded(
            "healthy columns run as planned: prompt too early",
            &as_planned,
            |mark| mark.early,
            0.0,
            0.1,
        );
        in_time.into_iter().chain(early).collect()
    }
}

/// Whether the operator stopped or slowed outside the plan from `from_s` to `to_s`.
fn left_plan(rows: &RecordedRun, from_s: f64, to_s: f64) -> bool {
    let mut actions: Vec<&(f64, Action)> = rows.actions.iter().collect();
    actions.sort_by(|a, b| a.0.total_cmp(&b.0));
    let begins_step = |at_s: f64| {
        actions.iter().any(|(step_s, action)| {
            matches!(action, Action::Step { .. }) && (step_s - at_s).abs() <= STEP_NEAR_S
        })
    };
    let mut before = Before::default();
    actions.iter().any(|(at_s, action)| {
        before.is_less(action) && (from_s..=to_s).contains(at_s) && !begins_step(*at_s)
    })
}

/// What was last drawn and heated with; take-offs of different measures are not compared.
#[derive(Debug, Default)]
struct Before {
    ml_per_min: Option<f64>,
    drawn_share: Option<f64>,
    watts: Option<f64>,
}

impl Before {
    /// Whether the action leaves much less than was there before it, which it then is.
    fn is_less(&mut self, action: &Action) -> bool {
        match *action {
            Action::Heater { watts } => {
                self.watts.replace(watts).is_some_and(|before| watts < COOLER_SHARE * before)
            }
            Action::TakeOff { take_off, measured } => {
                let (last, drawn) = match take_off {
                    TakeOff::Closed => return true,
                    TakeOff::MlPerMin(ml_per_min) => (&mut self.ml_per_min, ml_per_min),
                    // More condenser is less drawn, by how much hangs on the vapour.
                    TakeOff::RefluxWatts(_) => return false,
                    TakeOff::RefluxRatio(ratio) => (&mut self.drawn_share, 1.0 / (1.0 + ratio)),
                };
                let before = last.replace(drawn);
                !measured && before.is_some_and(|before| drawn <= SLOWER_SHARE * before)
            }
            _ => false,
        }
    }
}
