//! What was done to the still as an input of the model: power and take-off, span by span.
//!
//! The take-off of a column is what was set or timed, put right by the volumes of the jars. A pot
//! draws what it boils: there the jars are measurements, not inputs.

use still::plan::{RunPlan, StepKind, StillKind, TakeOff};
use still::track::{Past, Span};

use super::habits::Habits;
use super::seen::{Seen, SeenTakeOff};
use super::spans::in_blocks;
use sense::numbers::median;

/// Width over which a power meter is averaged, s.
const METER_BIN_S: f64 = 600.0;
/// How far jars may put a take-off right.
const JAR_FACTOR: std::ops::RangeInclusive<f64> = 0.5..=2.0;
/// A jar that took less than this is too short against its stamps to tell a rate, s.
const JAR_LEAST_S: f64 = 150.0;

/// Losses of power that began closer together than this are one, s (judgement: about the time of a
/// jar).
const SAME_S: f64 = 900.0;

/// A heater that gives less from a moment on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Weakened {
    /// The moment, s.
    pub(super) from_s: f64,
    /// Power over what is set, before it, ln.
    pub(super) before: f64,
}

impl Weakened {
    /// Whether it is the same loss of power, seen a while later.
    pub(super) fn is(&self, other: &Self) -> bool {
        (self.from_s - other.from_s).abs() < SAME_S
    }
}

/// A rate seen at a set ratio: from and to in s, litres a second, ratio.
pub(super) type SeenRate = (f64, f64, f64, f64);

/// The past as inputs, and what is going on now.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Inputs {
    pub(super) past: Past,
    /// Power now, as labelled or metered, W.
    pub(super) heater_w: f64,
    /// Take-off now, as believed to be real.
    pub(super) take_off: TakeOff,
    /// Standard deviation of the take-off to come, relative.
    pub(super) take_off_sd: f64,
    /// What the valve gives over what it is set to, as the jars show.
    pub(super) valve: f64,
    /// Whether the power was metered.
    pub(super) metered: bool,
    /// How much longer a pause that goes on should last, s.
    pub(super) pause_s: f64,
    /// Rates seen where the take-off is a ratio: from, to, litres a second, ratio.
    pub(super) ratios: Vec<SeenRate>,
    /// How this person runs this still.
    pub(super) habits: Habits,
}

impl Inputs {
    /// The same past followed to an earlier moment only.
    pub(super) fn until(&self, until_s: f64) -> Self {
        let past = Past { until_s: until_s.min(self.past.until_s), ..self.past.clone() };
        Self { past, ..self.clone() }
    }
}

/// Power over time: what was set, or what the meter read; none while the still did not boil.
fn powers(plan: &RunPlan, seen: &Seen) -> (Vec<(f64, f64)>, bool) {
    let (mut powers, metered) = powers_told(plan, seen);
    for idle in &seen.idle {
        let back_w = powers.iter().rev().find(|row| row.0 <= idle.to_s).map_or(0.0, |row| row.1);
        powers.retain(|row| row.0 <= 0.0 || row.0 < idle.from_s || row.0 > idle.to_s);
        powers.extend([(idle.from_s, 0.0), (idle.to_s, back_w)]);
        powers.sort_by(|a, b| a.0.total_cmp(&b.0));
    }
    (powers, metered)
}

fn powers_told(plan: &RunPlan, seen: &Seen) -> (Vec<(f64, f64)>, bool) {
    let mut set = seen.heaters.clone();
    if set.first().is_none_or(|first| first.0 > 0.0) {
        set.insert(0, (0.0, plan.step_power(0).watts()));
    }
    if seen.meter.len() < 20 {
        return (set, false);
    }
    let mut powers = Vec::new();
    for (index, &(from_s, set_w)) in set.iter().enumerate() {
        let to_s = set.get(index + 1).map_or(seen.now_s, |next| next.0);
        let mut at_s = from_s;
        while at_s < to_s {
            let next_s = if to_s - at_s < 1.5 * METER_BIN_S { to_s } else { at_s + METER_BIN_S };
            let inside = |row: &&(f64, f64)| row.0 >= at_s + 20.0 && row.0 < next_s;
            let mut read: Vec<f64> = seen.meter.iter().filter(inside).map(|row| row.1).collect();
            let metered_w = median(&mut read).filter(|_| read.len() >= 3);
            powers.push((at_s, metered_w.unwrap_or(set_w)));
            at_s = next_s;
        }
    }
    (powers, true)
}

/// Take-off as set or timed.
fn take_offs(plan: &RunPlan, seen: &Seen) -> Vec<SeenTakeOff> {
    let row = |time_s: f64, take_off| SeenTakeOff { time_s, take_off, measured: false };
    if plan.still.kind == StillKind::Pot {
        return vec![row(0.0, TakeOff::RefluxRatio(0.0))];
    }
    let mut rows = vec![row(0.0, TakeOff::Closed)];
    rows.extend(seen.take_offs.iter().copied());
    // A step that draws without a row of its own is drawn as planned.
    for &(time_s, index) in &seen.steps {
        let near = seen.take_offs.iter().any(|row| (row.time_s - time_s).abs() <= 120.0);
        let planned = plan.steps[index].take_off();
        if !near && plan.steps[index].kind.draws() {
            rows.push(row(time_s, planned));
        }
        if plan.steps[index].kind == StepKind::Stop {
            rows.push(row(time_s, TakeOff::Closed));
        }
    }
    rows.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
    // A rate timed at a set ratio is a measurement of that ratio's rate.
    let mut ratio = None;
    for row in &mut rows {
        match row.take_off {
            TakeOff::RefluxRatio(r) => ratio = Some(r),
            TakeOff::MlPerMin(_) if row.measured && ratio.is_some() => {
                row.take_off = TakeOff::RefluxRatio(ratio.unwrap_or(0.0));
            }
            _ => ratio = None,
        }
    }
    rows
}

pub(super) fn rate_l_s(take_off: TakeOff) -> Option<f64> {
    match take_off {
        TakeOff::Closed => Some(0.0),
        TakeOff::MlPerMin(rate) => Some(rate / 60_000.0),
        TakeOff::RefluxRatio(_) | TakeOff::RefluxWatts(_) => None,
    }
}

/// A stretch of constant take-off.
#[derive(Debug, Clone, Copy)]
struct Stretch {
    from_s: f64,
    to_s: f64,
    take_off: TakeOff,
    measured: bool,
    by_jar: bool,
}

/// Stretches between all marks, with the jars' volumes put in.
fn stretches(rows: &[SeenTakeOff], seen: &Seen) -> (Vec<Stretch>, Vec<SeenRate>) {
    let mut marks: Vec<f64> = rows.iter().map(|row| row.time_s).collect();
    marks.extend(seen.volumes().flat_map(|jar| [jar.start_s, jar.end_s]));
    marks.extend(seen.idle.iter().flat_map(|idle| [idle.from_s, idle.to_s]));
    marks.push(seen.now_s);
    marks.sort_by(f64::total_cmp);
    marks.dedup_by(|a, b| (*a - *b).abs() < 1.0);
    let mut list: Vec<Stretch> = Vec::new();
    for pair in marks.windows(2) {
        let row = rows.iter().rev().find(|row| row.time_s <= pair[0] + 0.5);
        let (take_off, measured) =
            row.map_or((TakeOff::Closed, false), |row| (row.take_off, row.measured));
        let (from_s, to_s) = (pair[0], pair[1]);
        let idle = |idle: &sense::Idle| from_s >= idle.from_s - 1.0 && to_s <= idle.to_s + 1.0;
        let idle = seen.idle.iter().any(idle);
        let take_off = if idle { TakeOff::Closed } else { take_off };
        list.push(Stretch { from_s, to_s, take_off, measured, by_jar: false });
    }
    let mut ratios = Vec::new();
    for jar in seen.volumes() {
        let inside = |s: &Stretch| s.from_s >= jar.start_s - 0.5 && s.to_s <= jar.end_s + 0.5;
        let open_s: f64 = list
            .iter()
            .filter(|s| inside(s) && s.take_off != TakeOff::Closed)
            .map(|s| s.to_s - s.from_s)
            .sum();
        if open_s < JAR_LEAST_S {
            continue;
        }
        let mean = jar.litres / open_s;
        let set: f64 = list
            .iter()
            .filter(|s| inside(s))
            .map(|s| (s.to_s - s.from_s) * rate_l_s(s.take_off).unwrap_or(mean))
            .sum();
        let factor = jar.litres / set;
        if !JAR_FACTOR.contains(&factor) {
            continue;
        }
        for s in list.iter_mut().filter(|s| inside(s) && s.take_off != TakeOff::Closed) {
            if let TakeOff::RefluxRatio(ratio) = s.take_off {
                ratios.push((s.from_s, s.to_s, mean, ratio));
            }
            let rate = rate_l_s(s.take_off).unwrap_or(mean) * factor;
            s.take_off = TakeOff::MlPerMin(rate * 60_000.0);
            s.by_jar = true;
        }
    }
    (list, ratios)
}

/// What the valve gives over what it is set to now, with its standard deviation.
fn valve(rows: &[SeenTakeOff], list: &[Stretch]) -> (f64, f64) {
    let Some(last) = rows.last() else { return (1.0, 0.06) };
    let Some(now) = rate_l_s(last.take_off).filter(|rate| *rate > 0.0) else { return (1.0, 0.05) };
    let (mut sum, mut weight) = (0.0, 1.0 / f64::powi(if last.measured { 0.03 } else { 0.05 }, 2));
    let since = rows.iter().rev().find(|row| !row.measured).map_or(0.0, |row| row.time_s);
    let mut seen_s = 0.0;
    for s in list.iter().rev().filter(|s| s.by_jar && s.from_s >= since - 1.0) {
        if let Some(rate) = rate_l_s(s.take_off) {
            let w = (s.to_s - s.from_s).min(1800.0) / 1800.0 / f64::powi(0.02, 2);
            sum += w * (rate / now).ln();
            weight += w;
            seen_s += s.to_s - s.from_s;
        }
        if seen_s > 3600.0 {
            break;
        }
    }
    ((sum / weight).exp(), (1.0 / weight).sqrt())
}

/// A pause that goes on: heat off or valve closed in a step that draws.
#[derive(Debug, Clone, Copy)]
struct Pause {
    heater_w: f64,
    take_off: TakeOff,
    left_s: f64,
}

/// The least that is left of a pause, s (judgement).
const PAUSE_LEFT_S: f64 = 120.0;

fn pause(
    plan: &RunPlan,
    rows: &[SeenTakeOff],
    powers: &[(f64, f64)],
    seen: &Seen,
    usual_s: f64,
) -> Option<Pause> {
    if !plan.steps[seen.step().1].kind.draws() {
        return None;
    }
    let (closed, cold) = (
        rows.last().filter(|row| rate_l_s(row.take_off) == Some(0.0)),
        powers.last().filter(|row| row.1 < 20.0),
    );
    let since = closed.map(|row| row.time_s).into_iter().chain(cold.map(|row| row.0));
    let since_s = since.reduce(f64::min)?;
    let open = rows.iter().rev().find(|row| rate_l_s(row.take_off) != Some(0.0))?;
    let hot = powers.iter().rev().find(|row| row.1 >= 20.0)?;
    let left_s = (since_s + usual_s - seen.now_s).max(PAUSE_LEFT_S);
    Some(Pause { heater_w: hot.1, take_off: open.take_off, left_s })
}

/// The past of a run as inputs of the model.
pub(super) fn inputs(plan: &RunPlan, seen: &Seen, habits: Habits) -> Inputs {
    let (powers, metered) = powers(plan, seen);
    let rows = take_offs(plan, seen);
    let pot = plan.still.kind == StillKind::Pot;
    let (list, mut ratios) = if pot {
        let only = Stretch {
            from_s: 0.0,
            to_s: seen.now_s,
            take_off: TakeOff::RefluxRatio(0.0),
            measured: false,
            by_jar: false,
        };
        (vec![only], vec![])
    } else {
        stretches(&rows, seen)
    };
    let (valve, sd) = if pot { (1.0, 0.01) } else { valve(&rows, &list) };
    // Rates timed by hand: in a pot, and at a set ratio.
    for row in seen.take_offs.iter().filter(|row| row.measured) {
        let before = rows.iter().rev().find(|r| r.time_s <= row.time_s).map(|r| r.take_off);
        if let (Some(rate), Some(TakeOff::RefluxRatio(ratio))) = (rate_l_s(row.take_off), before) {
            ratios.push((row.time_s - 120.0, row.time_s, rate, ratio));
        }
    }
    let mut marks: Vec<f64> = powers.iter().map(|row| row.0).collect();
    marks.extend(list.iter().map(|s| s.from_s));
    marks.sort_by(f64::total_cmp);
    marks.dedup_by(|a, b| (*a - *b).abs() < 1.0);
    let power_at = |time_s: f64| {
        powers.iter().rev().find(|row| row.0 <= time_s + 0.5).map_or(0.0, |row| row.1)
    };
    let unproven = |s: &Stretch| !s.by_jar && !s.measured;
    let begun = |mark: &&f64| **mark <= 0.0 || **mark < seen.now_s;
    let spans = marks.iter().filter(begun).map(|&start_s| {
        let stretch = list.iter().rev().find(|s| s.from_s <= start_s + 0.5);
        let take_off = stretch.map_or(TakeOff::Closed, |s| match s.take_off {
            TakeOff::MlPerMin(rate) if unproven(s) => TakeOff::MlPerMin(rate * valve),
            other => other,
        });
        Span { start_s, heater_w: power_at(start_s), take_off }
    });
    let spans = in_blocks(&spans.collect::<Vec<Span>>(), seen.now_s);
    let last = rows.last().map_or(TakeOff::Closed, |row| row.take_off);
    let take_off = match last {
        TakeOff::MlPerMin(rate) => TakeOff::MlPerMin(rate * valve),
        other => other,
    };
    let past =
        Past { spans, until_s: seen.now_s, vapour_s: seen.vapour_s, hearts_s: seen.hearts_s(plan) };
    let pause = pause(plan, &rows, &powers, seen, habits.pause_s);
    let heater_w = pause.map_or(power_at(seen.now_s), |pause| pause.heater_w);
    let take_off = pause.map_or(take_off, |pause| pause.take_off);
    let pause_s = pause.map_or(0.0, |pause| pause.left_s);
    Inputs { past, heater_w, take_off, take_off_sd: sd, valve, metered, pause_s, ratios, habits }
}
