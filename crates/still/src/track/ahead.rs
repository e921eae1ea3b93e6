//! On from the present by the plan: where its steps end, and where the hearts end.

use super::machine::{Runner, mean_head};
use super::points::{Point, Track};
use crate::equilibrium::Equilibrium;
use crate::error::StillError;
use crate::plan::{RunPlan, Step, StepKind, StillKind, TakeOff};
use crate::setup::ICE_POINT_K;

/// Rise of the head over the lowest ten-minute mean of the hearts that ends them in a column, K.
pub(super) const END_RISE_K: f64 = 1.0;
/// Window of the plan's plateau after the start of hearts, s.
const PLATEAU_S: (f64, f64) = (600.0, 1200.0);
/// In a slow phase the trigger is armed this far under it, K, or after this time, s.
const REARM_K: f64 = 0.02;
const REARM_LATEST_S: f64 = 900.0;
/// A track reaches at least this far beyond the present, s.
const RUN_ON_S: f64 = 660.0;
/// Longest look ahead, s: two days.
const AHEAD_MAX_S: f64 = 172_800.0;

/// What is to come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ahead<'a> {
    /// The plan.
    pub plan: &'a RunPlan,
    /// The step that runs.
    pub step_index: usize,
    /// When it began, s.
    pub step_start_s: f64,
    /// Power now, W.
    pub heater_w: f64,
    /// Take-off now.
    pub take_off: TakeOff,
    /// Real power of the heater over what a plan says.
    pub heater_factor: f64,
    /// What the valve gives over what a plan says, in later steps.
    pub valve: f64,
    /// Whether to go on to the plan's stop, or only to the end of the hearts.
    pub whole: bool,
}

/// An end of the hearts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct End {
    /// Run time, s.
    pub time_s: f64,
    /// The still there.
    pub at: Point,
    /// Whether it was reached; else the pot was spent or the time ran out before.
    pub reached: bool,
}

/// Where things end.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Ends {
    /// The running step by the plan, s.
    pub step_s: Option<f64>,
    /// The first hearts begin, s.
    pub hearts_s: Option<f64>,
    /// The plan's last hearts step.
    pub plan: Option<End>,
    /// The head 1.0 K over the plateau (column), or the strength limit (pot).
    pub hearts: Option<End>,
    /// The plan's last step, s.
    pub stop_s: Option<f64>,
}

/// Take-off of a planned step with a valve that gives `valve` times what it is set to.
fn through_valve(take_off: TakeOff, valve: f64, kind: StillKind) -> TakeOff {
    match take_off {
        TakeOff::MlPerMin(rate) => TakeOff::MlPerMin(rate * valve),
        TakeOff::RefluxRatio(ratio) if kind == StillKind::Column => {
            TakeOff::RefluxRatio(((ratio + 1.0) / valve - 1.0).max(0.0))
        }
        other => other,
    }
}

fn litres(later: &Point, earlier: Option<&Point>) -> f64 {
    earlier.map_or(0.0, |earlier| later.drawn_since(earlier).0)
}

/// What the trigger of a step is judged by.
struct Judge<'a> {
    step: &'a Step,
    start_s: f64,
    start: Option<Point>,
    first: Option<Point>,
    slow: bool,
    armed: bool,
    plateau_k: Option<f64>,
}

impl Judge<'_> {
    /// Positive once a condition that can be read off a point is met: the largest of them.
    fn beyond(&self, point: &Point) -> f64 {
        let step = self.step;
        let rise = step.until_rise_k.zip(self.plateau_k).filter(|_| self.armed);
        let all = [
            step.until_ml.map(|ml| litres(point, self.start.as_ref()) * 1000.0 / ml - 1.0),
            step.until_total_ml.map(|ml| litres(point, self.first.as_ref()) * 1000.0 / ml - 1.0),
            step.until_strength_vol.map(|vol| 1.0 - point.drum_vol() / vol),
            step.until_pot_c.map(|c| (point.pot_k - ICE_POINT_K - c) / 100.0),
            rise.map(|(rise_k, plateau_k)| point.head_k - plateau_k - rise_k),
        ];
        all.into_iter().flatten().fold(f64::NEG_INFINITY, f64::max)
    }

    fn arm(&mut self, point: &Point) {
        let (Some(plateau_k), Some(rise_k)) = (self.plateau_k, self.step.until_rise_k) else {
            return;
        };
        let under = point.head_k - plateau_k <= rise_k - REARM_K;
        self.armed |= !self.slow || under || point.time_s >= self.start_s + REARM_LATEST_S;
    }
}

/// Where a function of the points crosses zero between two of them, as a share.
fn crossing(low: f64, high: f64) -> f64 {
    if high > low && low < 0.0 { (-low / (high - low)).clamp(0.0, 1.0) } else { 1.0 }
}

impl Track {
    /// The first point at which the head stands [`END_RISE_K`] over the lowest ten-minute mean of
    /// the hearts, between two points in a straight line.
    pub(super) fn kelvin_end(&self, hearts_s: f64) -> Option<End> {
        let [.., low, high] = self.points.as_slice() else { return None };
        let lowest_k = self.lowest_head_k?;
        let over = |point: &Point| point.head_k - lowest_k - END_RISE_K;
        if over(high) < 0.0 || high.draw_mol_s <= 0.0 || high.time_s <= hearts_s {
            return None;
        }
        let share = crossing(over(low), over(high));
        let time_s = low.time_s + share * (high.time_s - low.time_s);
        Some(End { time_s, at: self.at(time_s)?, reached: true })
    }

    /// The plan's plateau: from 10 to 20 min of hearts, or earlier where the head already rises.
    fn plateau_k(&self, hearts_s: f64, now_s: f64) -> Option<f64> {
        if now_s >= hearts_s + PLATEAU_S.1 {
            return mean_head(&self.points, hearts_s + PLATEAU_S.0, hearts_s + PLATEAU_S.1);
        }
        let last = self.points.last()?;
        let lowest_k = self.lowest_head_k?;
        (last.head_k - lowest_k >= END_RISE_K).then_some(lowest_k)
    }
}

impl<const C: usize, E: Equilibrium<C> + Clone> Runner<C, E> {
    pub(super) fn go_on(&mut self, ahead: &Ahead<'_>) -> Result<Ends, StillError> {
        let plan = ahead.plan;
        let mut ends = Ends { hearts_s: self.hearts_s, ..Ends::default() };
        let last_hearts = plan.steps.iter().rposition(|step| step.kind == StepKind::Hearts);
        let now_s = self.time_s;
        let limit_s = now_s + AHEAD_MAX_S;
        for index in ahead.step_index..plan.steps.len() {
            let step = &plan.steps[index];
            if step.kind == StepKind::Stop {
                break;
            }
            if index == ahead.step_index {
                self.set(ahead.heater_w, ahead.take_off);
            } else {
                let heater_w = plan.step_watts(index) * ahead.heater_factor;
                self.set(heater_w, through_valve(step.take_off(), ahead.valve, plan.still.kind));
            }
            self.boil_again(limit_s)?;
            if step.kind == StepKind::Hearts {
                self.hearts_s.get_or_insert(self.time_s);
                ends.hearts_s = self.hearts_s;
            }
            let started_s =
                if index == ahead.step_index { ahead.step_start_s } else { self.time_s };
            if step.kind != StepKind::Heat {
                self.step(plan, index, started_s, limit_s)?;
            }
            if index == ahead.step_index {
                ends.step_s = Some(self.time_s);
            }
            if Some(index) == last_hearts {
                ends.plan = self.here(!self.spent());
                if !ahead.whole {
                    self.finish_hearts(&mut ends, step, plan.still.kind, limit_s)?;
                    self.run_on(now_s + RUN_ON_S)?;
                    return Ok(ends);
                }
            }
            if self.spent() || self.time_s >= limit_s {
                break;
            }
        }
        ends.stop_s = Some(self.time_s);
        if self.hearts_s.is_some() && ends.hearts.is_none() {
            ends.hearts = self.track.end.or_else(|| self.here(false));
        }
        Ok(ends)
    }

    fn here(&self, reached: bool) -> Option<End> {
        let at = *self.track.points.last()?;
        Some(End { time_s: self.time_s, at, reached })
    }

    /// Goes on drawing hearts to the end that recordings define, where the plan ended them before.
    fn finish_hearts(
        &mut self,
        ends: &mut Ends,
        step: &Step,
        kind: StillKind,
        limit_s: f64,
    ) -> Result<(), StillError> {
        if kind == StillKind::Pot && step.until_strength_vol.is_some() {
            ends.hearts = ends.plan;
            return Ok(());
        }
        if kind == StillKind::Column {
            while self.track.end.is_none() && !self.spent() && self.time_s < limit_s {
                self.advance(limit_s)?;
            }
        }
        ends.hearts = self.track.end.or_else(|| self.here(kind == StillKind::Pot));
        Ok(())
    }

    /// Goes on as it is, so that a track made now still tells what to expect some minutes later.
    fn run_on(&mut self, until_s: f64) -> Result<(), StillError> {
        while self.time_s < until_s && !self.spent() {
            self.advance(until_s)?;
        }
        Ok(())
    }

    /// Runs one step of the plan to its end.
    fn step(
        &mut self,
        plan: &RunPlan,
        index: usize,
        start_s: f64,
        limit_s: f64,
    ) -> Result<(), StillError> {
        let step = &plan.steps[index];
        let limit_s = step.minutes.map_or(limit_s, |min| limit_s.min(start_s + 60.0 * min));
        self.evaluate()?;
        self.note()?;
        let first = self.track.points.first().copied();
        let mut judge = Judge {
            step,
            start_s,
            start: self.track.at(start_s).or(first),
            first,
            slow: plan.is_slow_phase(index),
            armed: false,
            plateau_k: None,
        };
        while self.time_s < limit_s && !self.spent() {
            let before = *self.track.points.last().expect("a point was noted above");
            self.judge(&mut judge, &before);
            if judge.beyond(&before) >= 0.0 {
                return Ok(());
            }
            self.advance(limit_s)?;
            let after = *self.track.points.last().expect("a step notes a point");
            self.judge(&mut judge, &after);
            let (low, high) = (judge.beyond(&before), judge.beyond(&after));
            if high >= 0.0 && low.is_finite() {
                let time_s = before.time_s + crossing(low, high) * (after.time_s - before.time_s);
                return self.back_to(time_s);
            }
        }
        Ok(())
    }

    fn judge(&self, judge: &mut Judge<'_>, point: &Point) {
        if judge.step.until_rise_k.is_none() {
            return;
        }
        if let (None, Some(hearts_s)) = (judge.plateau_k, self.hearts_s) {
            judge.plateau_k = self.track.plateau_k(hearts_s, self.time_s);
        }
        judge.arm(point);
    }

    /// Goes back inside the last integrator step.
    fn back_to(&mut self, time_s: f64) -> Result<(), StillError> {
        if time_s >= self.time_s {
            return Ok(());
        }
        self.integrator.interpolate(time_s, &mut self.probe);
        self.state.copy_from_slice(&self.probe);
        self.time_s = time_s;
        if self.track.end.is_some_and(|end| end.time_s > time_s) {
            self.track.end = None;
        }
        self.evaluate()?;
        self.track.points.pop();
        self.note()
    }
}
