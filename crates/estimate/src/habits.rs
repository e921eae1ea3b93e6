//! How a person runs a still: how late steps are begun, how often hearts pause or are slowed down,
//! how often something is the matter; counted in the runs that taught, wide before the first.

use serde::{Deserialize, Serialize};
use still::plan::{RunPlan, StepKind, StillKind, TakeOff};

use super::character::Character;
use super::hypotheses::{Hypothesis, Weighed};
use super::past::rate_l_s;
use super::seen::Seen;

/// When the steps of a run were begun, against when they were due.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Changes {
    /// Steps that were begun when their trigger was met or later.
    pub after_trigger: u32,
    /// How late these were in all, s.
    pub late_s: f64,
    /// Hearts that were over where the plan has slow ones.
    pub slow_phases: u32,
    /// Of these, with slow hearts that were begun before their trigger was met.
    pub early: u32,
}

/// What one run counts for.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Counted {
    /// When its steps were begun.
    pub changes: Changes,
    /// Pauses in its hearts, and how long they lasted in all, s.
    pub pauses: u32,
    /// How long these lasted in all, s.
    pub paused_s: f64,
    /// Whether its hearts were slowed down outside the plan.
    pub slowed: bool,
    /// How far it is believed at the end that the charge was not as strong as stated, from 0 to 1.
    pub wrong_strength: f64,
    /// The same of a head that drifts.
    pub drift: f64,
    /// The same of a heater that gave less from a moment on.
    pub weak_heater: f64,
}

/// What is counted on in the run that goes on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Habits {
    /// How late a step is begun in the mean, s.
    pub(super) late_s: f64,
    /// Chance that planned slow hearts are begun before their trigger.
    pub(super) early_slow: f64,
    /// Pauses in a whole of hearts, and how long one lasts in the mean, s.
    pub(super) pause: f64,
    pub(super) pause_s: f64,
    /// Chance that hearts are slowed down outside the plan.
    pub(super) slowed: f64,
    /// Belief before a run in a charge not as stated, a head that drifts, a heater that weakens.
    pub(super) matter: [f64; 3],
}

/// Before anything is counted (judgement): a probe lags its vapour by a minute, and somebody has to
/// look and to walk, s.
const LATE_S: f64 = 100.0;
/// A head that still shakes off its light heads looks like a rise (judgement).
const EARLY_SLOW: f64 = 0.25;
/// Pauses and slowings in a run of a pot and of a column (judgement).
const PAUSE: [f64; 2] = [0.1, 0.15];
const SLOWED: [f64; 2] = [0.02, 0.08];
/// How long a pause lasts: a jar run over, a fuse, a call (judgement), s.
const PAUSE_S: f64 = 650.0;
/// About one run in fifteen has one of the three (judgement).
const MATTER: [f64; 3] = [0.03, 0.02, 0.02];
/// So many changes, runs and pauses of the beginning are counted with those of the log: a log of ten
/// runs weighs as much (judgement; half of it made forecasts of simulated series, whose persons are
/// all alike, 3 % worse). What is the matter is rarer, and waits longer.
const CHANGES_BEFORE: f64 = 10.0;
const RUNS_BEFORE: f64 = 10.0;
const PAUSES_BEFORE: f64 = 5.0;
const MATTER_BEFORE: f64 = 40.0;
/// A change later than this was not late but forgotten, and a pause longer than that was no pause
/// (judgement), s.
const LATE_MOST_S: f64 = 900.0;
const PAUSE_MOST_S: f64 = 3600.0;
/// What is shorter is a change of jars (judgement), s.
const PAUSE_LEAST_S: f64 = 60.0;
/// A slowing is at least so much, and not where a step begins (judgement).
const SLOWER: f64 = 0.9;
const AT_A_STEP_S: f64 = 120.0;
/// Hearts pause at most so often in what is counted on.
const PAUSE_CHANCE_MOST: f64 = 0.9;

impl Changes {
    /// A step begun so long after its trigger, s.
    pub fn begun(&mut self, late_s: f64) {
        self.after_trigger += 1;
        self.late_s += late_s.clamp(0.0, LATE_MOST_S);
    }

    /// Hearts that the plan goes on with slowly are over, with the slow ones begun early or not.
    pub fn slow_phase(&mut self, early: bool) {
        self.slow_phases += 1;
        self.early += u32::from(early);
    }
}

impl Counted {
    /// What a run that is over counts for.
    pub(super) fn of(plan: &RunPlan, seen: &Seen, all: &[Weighed<'_>], changes: Changes) -> Self {
        let odds = |of: Hypothesis| {
            all.iter().find(|weighed| weighed.hypothesis == of).map_or(0.0, |found| found.weight)
        };
        let (from_s, to_s) = hearts(plan, seen).unwrap_or_default();
        let pauses = pauses(seen, from_s, to_s);
        Self {
            changes,
            pauses: u32::try_from(pauses.len()).unwrap_or(u32::MAX),
            paused_s: pauses.iter().fold(0.0, |sum, s| sum + s),
            slowed: slowed(seen, from_s, to_s),
            wrong_strength: odds(Hypothesis::WrongStrength),
            drift: odds(Hypothesis::Drift),
            weak_heater: odds(Hypothesis::WeakHeater),
        }
    }
}

/// A mean of so many of the beginning and those that were counted.
fn with(before: f64, weight: f64, sum: f64, count: f64) -> f64 {
    (before * weight + sum) / (weight + count)
}

impl Habits {
    /// What the runs of a still's character make of the beginning.
    pub(super) fn of(kind: StillKind, known: Option<&Character>) -> Self {
        let place = usize::from(kind == StillKind::Column);
        let counted: Vec<Counted> = known.map_or(Vec::new(), |known| {
            known.history.iter().filter_map(|learned| learned.counted).collect()
        });
        let sum = |of: &dyn Fn(&Counted) -> f64| counted.iter().map(of).sum::<f64>();
        let runs = counted.len() as f64;
        let pauses = sum(&|run| f64::from(run.pauses));
        let matter = |place: usize, of: &dyn Fn(&Counted) -> f64| {
            with(MATTER[place], MATTER_BEFORE, sum(of), runs)
        };
        Self {
            late_s: with(
                LATE_S,
                CHANGES_BEFORE,
                sum(&|run| run.changes.late_s),
                sum(&|run| f64::from(run.changes.after_trigger)),
            ),
            early_slow: with(
                EARLY_SLOW,
                CHANGES_BEFORE,
                sum(&|run| f64::from(run.changes.early)),
                sum(&|run| f64::from(run.changes.slow_phases)),
            ),
            pause: with(PAUSE[place], RUNS_BEFORE, pauses, runs).min(PAUSE_CHANCE_MOST),
            pause_s: with(PAUSE_S, PAUSES_BEFORE, sum(&|run| run.paused_s), pauses),
            slowed: with(
                SLOWED[place],
                RUNS_BEFORE,
                sum(&|run| f64::from(u8::from(run.slowed))),
                runs,
            ),
            matter: [
                matter(0, &|run| run.wrong_strength),
                matter(1, &|run| run.drift),
                matter(2, &|run| run.weak_heater),
            ],
        }
    }
}

/// From the first jar of hearts to what came after them, s.
fn hearts(plan: &RunPlan, seen: &Seen) -> Option<(f64, f64)> {
    let are = |step: &(f64, usize)| plan.steps[step.1].kind == StepKind::Hearts;
    let from_s = seen.steps.iter().find(|step| are(step))?.0;
    let after = |step: &&(f64, usize)| step.0 > from_s && !are(step);
    let to_s = seen.steps.iter().find(after).map_or(seen.now_s, |step| step.0);
    Some((from_s, to_s))
}

/// How long each pause in the hearts lasted, s: heat off, valve closed, or a still that did not boil.
fn pauses(seen: &Seen, from_s: f64, to_s: f64) -> Vec<f64> {
    let idle = seen.idle.iter().flat_map(|idle| [idle.from_s, idle.to_s]);
    let mut marks: Vec<f64> = seen
        .take_offs
        .iter()
        .map(|row| row.time_s)
        .chain(seen.heaters.iter().map(|row| row.0))
        .chain(idle)
        .filter(|mark_s| *mark_s > from_s && *mark_s < to_s)
        .chain([from_s, to_s])
        .collect();
    marks.sort_by(f64::total_cmp);
    let mut lengths: Vec<f64> = Vec::new();
    let mut since_s = None;
    for &mark_s in &marks {
        match (since_s, mark_s < to_s && stands(seen, mark_s)) {
            (None, true) => since_s = Some(mark_s),
            (Some(began_s), false) => {
                lengths.push(mark_s - began_s);
                since_s = None;
            }
            _ => {}
        }
    }
    lengths.into_iter().filter(|s| *s >= PAUSE_LEAST_S).map(|s| s.min(PAUSE_MOST_S)).collect()
}

/// Whether nothing runs from this moment on.
fn stands(seen: &Seen, at_s: f64) -> bool {
    let closed = seen.take_offs.iter().rev().find(|row| row.time_s <= at_s);
    let cold = seen.heaters.iter().rev().find(|row| row.0 <= at_s);
    closed.is_some_and(|row| rate_l_s(row.take_off) == Some(0.0))
        || cold.is_some_and(|row| row.1 < sense::HEATER_OFF_W)
        || seen.idle.iter().any(|idle| idle.from_s <= at_s && at_s < idle.to_s)
}

/// Whether somebody slowed the hearts down where no step begins.
fn slowed(seen: &Seen, from_s: f64, to_s: f64) -> bool {
    let set: Vec<_> = seen.take_offs.iter().filter(|row| !row.measured).collect();
    set.windows(2).any(|pair| {
        let at_s = pair[1].time_s;
        let at_a_step = seen.steps.iter().any(|step| (at_s - step.0).abs() < AT_A_STEP_S);
        at_s > from_s && at_s < to_s && !at_a_step && slower(pair[0].take_off, pair[1].take_off)
    })
}

fn slower(before: TakeOff, after: TakeOff) -> bool {
    match (before, after) {
        (TakeOff::MlPerMin(before), TakeOff::MlPerMin(after)) => {
            after > 0.0 && after < SLOWER * before
        }
        (TakeOff::RefluxRatio(before), TakeOff::RefluxRatio(after)) => {
            before + 1.0 < SLOWER * (after + 1.0)
        }
        _ => false,
    }
}
