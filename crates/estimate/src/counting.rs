//! Counts in a run that is over how its person ran it: pauses, slowings, and what was the matter.

use still::plan::{RunPlan, StepKind, TakeOff};

use super::counted::{Changes, Counted};
use super::hypotheses::{Hypothesis, Weighed};
use super::past::rate_l_s;
use super::seen::Seen;

/// A pause longer than this was none (judgement), s.
const PAUSE_MOST_S: f64 = 3600.0;
/// What is shorter is a change of jars (judgement), s.
const PAUSE_LEAST_S: f64 = 60.0;
/// A slowing is at least so much, and not where a step begins (judgement).
const SLOWER: f64 = 0.9;
const AT_A_STEP_S: f64 = 120.0;

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
