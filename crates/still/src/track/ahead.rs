//! On from the present by the plan: where its steps end, and where the hearts end.

use super::Ahead;
use super::machine::Runner;
use super::notes::RunningStep;
use super::points::{End, Ends, Point, StepEnd, Track};
use crate::equilibrium::Equilibrium;
use crate::error::StillError;
use crate::led::Led;
use crate::outcome::EndedBy;
use crate::plan::{RunPlan, Step, StepKind, StillKind, TakeOff};
use crate::walk::{Met, RUN_MAX_S};

/// Rise of the head over the lowest ten-minute mean of the hearts that ends them in a column, K.
pub(super) const END_RISE_K: f64 = 1.0;
/// A track reaches at least this far beyond the present, s.
const RUN_ON_S: f64 = 660.0;

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

/// Where a function of the points crosses zero between two of them, as a share.
fn crossing(low: f64, high: f64) -> f64 {
    if high > low && low < 0.0 { (-low / (high - low)).clamp(0.0, 1.0) } else { 1.0 }
}

impl Track {
    /// The first point at which the head stands [`END_RISE_K`] over the lowest ten-minute mean of
    /// the hearts, between two points in a straight line.
    pub(super) fn kelvin_end(&self, hearts_s: f64, by: &RunningStep) -> Option<End> {
        let [.., low, high] = self.points.as_slice() else { return None };
        let lowest_k = self.lowest_head_k?;
        let over = |point: &Point| point.head_k - lowest_k - END_RISE_K;
        if over(high) < 0.0 || high.draw_mol_s <= 0.0 || high.time_s <= hearts_s {
            return None;
        }
        let share = crossing(over(low), over(high));
        let time_s = low.time_s + share * (high.time_s - low.time_s);
        Some(End { time_s, at: self.at(time_s)?, reached: true, step: by.answered_at(time_s) })
    }
}

impl<const C: usize, E: Equilibrium<C> + Clone> Runner<C, E> {
    /// On by the plan from the running step.
    pub(super) fn go_on(&mut self, ahead: &Ahead<'_>) -> Result<Ends, StillError> {
        let plan = ahead.plan;
        let mut ends = Ends { hearts_s: self.notes.hearts_s, ..Ends::default() };
        let last_hearts = plan.steps.iter().rposition(|step| step.kind == StepKind::Hearts);
        let now_s = self.plant.time_s;
        let limit_s = RUN_MAX_S.max(now_s);
        let mut index = ahead.step_index;
        while plan.steps.get(index).is_some_and(|step| step.kind != StepKind::Stop) {
            self.set_step(ahead, index)?;
            let step = &plan.steps[index];
            if step.kind == StepKind::Hearts {
                self.notes.hearts_s.get_or_insert(self.plant.time_s);
                ends.hearts_s = self.notes.hearts_s;
            }
            let met = self.step_end(limit_s)?;
            let by = met.map_or(EndedBy::Minutes, |met| met.by);
            let step_end = StepEnd { index, by, end_s: self.plant.time_s };
            self.notes.track.steps.push(step_end);
            if index == ahead.step_index {
                ends.step_s = Some(self.plant.time_s);
            }
            let terminal = met.is_none_or(|met| met.by.is_terminal());
            if Some(index) == last_hearts || (terminal && ends.hearts_s.is_some()) {
                ends.plan = ends.plan.or_else(|| self.here(!terminal));
            }
            if Some(index) == last_hearts && !ahead.whole {
                self.finish_hearts(&mut ends, plan, step, limit_s, terminal)?;
                self.run_on(now_s + RUN_ON_S)?;
                return Ok(ends);
            }
            let Some(met) = met.filter(|_| !terminal) else { break };
            index = self.walk.as_ref().map_or(usize::MAX, |walk| walk.next_index(met.by));
            self.to((self.plant.time_s + ahead.late_s).min(limit_s))?;
            self.begin(plan, index, self.plant.time_s)?;
        }
        ends.stop_s = Some(self.plant.time_s);
        if self.notes.hearts_s.is_some() && ends.hearts.is_none() {
            ends.hearts = self.notes.track.end.or_else(|| self.here(false));
        }
        Ok(ends)
    }

    /// Sets what holds in a step: what is set now, or what the plan says as this still gives it.
    fn set_step(&mut self, ahead: &Ahead<'_>, index: usize) -> Result<(), StillError> {
        if index == ahead.step_index {
            return self.set(ahead.heater_w, ahead.take_off);
        }
        let plan = ahead.plan;
        let heater_w = plan.step_power(index).watts() * ahead.heater_factor;
        let take_off = plan.steps[index].take_off();
        self.set(heater_w, through_valve(take_off, ahead.valve, plan.still.kind))
    }

    /// Runs the walk's step to its end.
    fn step_end(&mut self, limit_s: f64) -> Result<Option<Met>, StillError> {
        let Some(walk) = &mut self.walk else { return Ok(None) };
        let (notes, before_mol, watch) = (&mut self.notes, self.before_mol, self.watch);
        let mut led = Led { plant: &mut self.plant, walk, before_mol, watch };
        led.run_step(limit_s, |plant, _| notes.note(plant))
    }

    fn here(&self, reached: bool) -> Option<End> {
        let at = *self.notes.track.points.last()?;
        Some(End { time_s: self.plant.time_s, at, reached, step: self.notes.step.index })
    }

    /// Goes on drawing hearts to the end that recordings define, where the plan ended them before;
    /// never where the plan must stop.
    fn finish_hearts(
        &mut self,
        ends: &mut Ends,
        plan: &RunPlan,
        step: &Step,
        limit_s: f64,
        terminal: bool,
    ) -> Result<(), StillError> {
        let kind = plan.still.kind;
        if kind == StillKind::Pot && step.until_strength_vol.is_some() {
            ends.hearts = ends.plan;
            return Ok(());
        }
        self.plant.set_floor_litres(plan.still.element_cover_litres);
        if kind == StillKind::Column && !terminal {
            while self.notes.track.end.is_none()
                && !self.plant.is_spent()
                && self.plant.time_s < limit_s
            {
                self.plant.advance(limit_s)?;
                self.notes.note(&mut self.plant)?;
            }
        }
        let reached = kind == StillKind::Pot && !terminal;
        ends.hearts = self.notes.track.end.or_else(|| self.here(reached));
        Ok(())
    }

    /// Goes on as it is, so that a track made now still tells what to expect some minutes later.
    fn run_on(&mut self, until_s: f64) -> Result<(), StillError> {
        while self.plant.time_s < until_s && !self.plant.is_spent() {
            self.plant.advance(until_s)?;
            self.notes.note(&mut self.plant)?;
        }
        Ok(())
    }
}
