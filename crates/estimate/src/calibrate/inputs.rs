//! What was done in a run that is over, span by span: power as metered or set, take-off as set.
//!
//! Unlike the past of an estimate a set reflux ratio stays a ratio, so that the time a jar takes
//! tells how much vapour there was. A rate is put right by the jars: it was what ran.

use sense::numbers::median;
use still::plan::{RunPlan, StepKind, StillKind, TakeOff};
use still::track::Span;

use super::super::seen::Seen;

/// Width over which a power meter is averaged, s.
const METER_BIN_S: f64 = 600.0;
/// A power meter counts from so many readings on, and so many in a bin.
const METER_LEAST: (usize, usize) = (20, 3);
/// A take-off noted this near to a step's begin belongs to it, s.
const SAME_ACT_S: f64 = 120.0;
/// Marks nearer than this are one, s.
const SAME_S: f64 = 1.0;
/// How far jars may put a set rate right.
const JAR_FACTOR: std::ops::RangeInclusive<f64> = 0.5..=2.0;

/// The spans from heater on.
pub(super) fn spans(plan: &RunPlan, seen: &Seen) -> Vec<Span> {
    let powers = powers(plan, seen);
    let takes = take_offs(plan, seen);
    let mut marks: Vec<f64> = powers.iter().map(|row| row.0).collect();
    marks.extend(takes.iter().map(|row| row.0));
    let by_rate = takes.iter().any(|row| matches!(row.1, TakeOff::MlPerMin(_)));
    if by_rate {
        marks.extend(seen.jars.iter().flat_map(|jar| [jar.start_s, jar.end_s]));
    }
    marks.push(0.0);
    marks.sort_by(f64::total_cmp);
    marks.dedup_by(|a, b| (*a - *b).abs() < SAME_S);
    let latest = |time_s: f64| move |row: &&(f64, f64)| row.0 <= time_s + 0.5;
    let span = |start_s: f64| {
        let heater_w = powers.iter().rev().find(latest(start_s)).map_or(0.0, |row| row.1);
        let take = takes.iter().rev().find(|row| row.0 <= start_s + 0.5);
        let take_off = put_right(take.map_or(TakeOff::Closed, |row| row.1), start_s, seen);
        Span { start_s: start_s.max(0.0), heater_w, take_off }
    };
    marks.into_iter().map(span).collect()
}

/// Power over time: what was set, or what the meter read.
fn powers(plan: &RunPlan, seen: &Seen) -> Vec<(f64, f64)> {
    let mut set = seen.heaters.clone();
    if set.first().is_none_or(|first| first.0 > 0.0) {
        set.insert(0, (0.0, plan.step_power(0).watts()));
    }
    if seen.meter.len() < METER_LEAST.0 {
        return set;
    }
    let mut powers = Vec::new();
    for (index, &(from_s, set_w)) in set.iter().enumerate() {
        let to_s = set.get(index + 1).map_or(seen.now_s, |next| next.0);
        let mut at_s = from_s;
        while at_s < to_s {
            let next_s = if to_s - at_s < 1.5 * METER_BIN_S { to_s } else { at_s + METER_BIN_S };
            let inside = |row: &&(f64, f64)| row.0 >= at_s && row.0 < next_s;
            let mut read: Vec<f64> = seen.meter.iter().filter(inside).map(|row| row.1).collect();
            let enough = read.len() >= METER_LEAST.1;
            powers.push((at_s, median(&mut read).filter(|_| enough).unwrap_or(set_w)));
            at_s = next_s;
        }
    }
    powers.dedup_by(|next, before| next.1.to_bits() == before.1.to_bits());
    powers
}

/// Take-off as set, in order of time; a pot draws what it boils.
fn take_offs(plan: &RunPlan, seen: &Seen) -> Vec<(f64, TakeOff)> {
    if plan.still.kind == StillKind::Pot {
        return vec![(0.0, TakeOff::RefluxRatio(0.0))];
    }
    let mut ratio = false;
    let mut rows: Vec<(f64, TakeOff)> = Vec::new();
    for row in &seen.take_offs {
        // A rate timed at a set ratio measures what that ratio gives.
        if row.measured && ratio {
            continue;
        }
        ratio = matches!(row.take_off, TakeOff::RefluxRatio(_));
        rows.push((row.time_s, row.take_off));
    }
    for &(time_s, index) in &seen.steps {
        let Some(step) = plan.steps.get(index) else { continue };
        let near = seen.take_offs.iter().any(|row| (row.time_s - time_s).abs() <= SAME_ACT_S);
        if (step.kind.draws() && !near) || step.kind == StepKind::Stop {
            rows.push((time_s, step.take_off()));
        }
    }
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    rows
}

/// A set rate as the jar that stood there says it ran.
fn put_right(take_off: TakeOff, time_s: f64, seen: &Seen) -> TakeOff {
    let TakeOff::MlPerMin(set) = take_off else { return take_off };
    let inside = |jar: &&super::super::seen::SeenJar| {
        jar.start_s <= time_s + 0.5 && time_s + 0.5 < jar.end_s
    };
    let ran =
        seen.jars.iter().find(inside).map(|jar| 60_000.0 * jar.litres / (jar.end_s - jar.start_s));
    let believed = ran.filter(|ran| JAR_FACTOR.contains(&(ran / set.max(1e-9))));
    believed.map_or(take_off, TakeOff::MlPerMin)
}
