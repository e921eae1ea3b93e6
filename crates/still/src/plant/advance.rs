//! How a plant goes on in time: one stretch after the other, and back inside the last one.

use numerics::root::{Search, brent};

use super::Plant;
use super::cold::BOILING_W;
use super::stretch::{Phase, Stretch};
use super::warming::Warming;
use crate::equilibrium::Equilibrium;
use crate::error::StillError;

/// How finely an instant inside a step is found, s.
pub(crate) const INSTANT_S: f64 = 1e-6;

impl<const C: usize, E: Equilibrium<C>> Plant<C, E> {
    /// Goes on by one stretch, not past `until_s`: an integrator step, or up to the next event of
    /// a still that does not run.
    ///
    /// # Errors
    /// [`StillError`]: cancelled, over its limit, equations that fail.
    pub(crate) fn advance(&mut self, until_s: f64) -> Result<(), StillError> {
        if self.cancel.is_cancelled() {
            return Err(StillError::Cancelled { time_s: self.time_s });
        }
        if self.phase == Phase::Running {
            self.evaluate()?;
            self.dry = self.dry || self.over_floor(&self.state) <= 0.0;
            if self.dry || self.top_vapour() <= 0.0 {
                self.rest();
            }
        }
        self.stretch = Stretch {
            phase: self.phase,
            from_s: self.time_s,
            to_s: until_s,
            cold: self.cold,
            pot_k: self.pot_k,
            warming: None,
        };
        match self.phase {
            Phase::Cold => self.advance_cold(until_s),
            Phase::Running => self.advance_running(until_s)?,
            Phase::Resting => self.advance_resting(until_s)?,
        }
        self.stretch.to_s = self.time_s;
        Ok(())
    }

    fn advance_cold(&mut self, until_s: f64) {
        let heater_w = self.column.heater_w;
        let reach = (self.time_s, until_s);
        self.time_s = self.start.advance(&mut self.cold, heater_w, reach);
        self.pot_k = self.cold.pot_k;
        if self.cold.boils {
            self.marks.boil_s.get_or_insert(self.time_s);
        }
        if self.start.head_is_hot(&self.cold) {
            self.marks.head_jump_s.get_or_insert(self.time_s);
        }
        if self.start.is_full(&self.cold) {
            self.marks.ready_s.get_or_insert(self.time_s);
            self.phase = Phase::Running;
            self.fresh = false;
            self.integrator.restart(self.pace.first_step_s);
        }
    }

    fn advance_running(&mut self, until_s: f64) -> Result<(), StillError> {
        let before = self.integrator.accepted + self.integrator.rejected;
        if self.attempts_left == 0 {
            let limit = super::ATTEMPTS_MAX;
            return Err(StillError::OverLimit { time_s: self.time_s, limit });
        }
        let (time_s, steps) = (self.time_s, self.integrator.accepted);
        self.time_s =
            self.integrator.advance(&mut self.column, time_s, until_s, &mut self.state).map_err(
                |error| StillError::Integrator { time_s, steps, why: error.to_string() },
            )?;
        let made = self.integrator.accepted + self.integrator.rejected - before;
        self.attempts_left = self.attempts_left.saturating_sub(made);
        self.fresh = false;
        self.evaluate()?;
        self.column.remember();
        self.pot_k = self.column.nodes()[0].temperature_k;
        if self.over_floor(&self.state) <= 0.0 || self.top_vapour() <= 0.0 {
            self.cut_short()?;
        }
        Ok(())
    }

    /// The last integrator step went on where nothing boils any more: back to where that began.
    fn cut_short(&mut self) -> Result<(), StillError> {
        let (from_s, to_s) = (self.stretch.from_s, self.time_s);
        let end_s = self.crossing((from_s, to_s), |plant, time_s| {
            plant.look(time_s)?;
            Ok(-plant.top_vapour().min(plant.over_floor(&plant.seen.state)))
        })?;
        self.stretch.to_s = to_s;
        self.back_to(end_s)?;
        self.evaluate()?;
        self.dry = self.over_floor(&self.state) <= self.top_vapour().max(0.0);
        self.rest();
        Ok(())
    }

    /// No vapour rises from here on.
    fn rest(&mut self) {
        self.phase = Phase::Resting;
        self.pot_k = self.column.nodes()[0].temperature_k;
        self.boil_k = self.pot_k;
        self.stuck = true;
    }

    fn advance_resting(&mut self, until_s: f64) -> Result<(), StillError> {
        let pot: &[f64; C] = &self.state.as_chunks().0[0];
        let warming = Warming::of(self.column.equilibrium(), &self.column.apparatus, pot);
        self.stretch.warming = Some(warming);
        let reach = (self.time_s, until_s);
        let (time_s, pot_k) =
            warming.go(self.column.heater_w, reach, (self.pot_k.min(self.boil_k), self.boil_k));
        (self.time_s, self.pot_k) = (time_s, pot_k);
        if pot_k < self.boil_k {
            return Ok(());
        }
        self.evaluate()?;
        if !self.dry && !self.stuck && self.top_vapour() > 0.0 {
            self.phase = Phase::Running;
            self.integrator.restart(self.pace.first_step_s);
        } else {
            // At the boil with no heat to spare: only time passes.
            self.time_s = until_s;
        }
        Ok(())
    }

    /// Whether it rests and comes to the boil again as it is set.
    pub(crate) fn comes_back(&self) -> bool {
        !self.dry && !self.stuck && self.net_w(self.boil_k) > BOILING_W
    }

    /// Goes back to an instant of the last stretch.
    pub(crate) fn back_to(&mut self, time_s: f64) -> Result<(), StillError> {
        let Stretch { phase, from_s, to_s, cold, pot_k, .. } = self.stretch;
        if time_s >= self.time_s || time_s >= to_s {
            return Ok(());
        }
        self.look(time_s)?;
        self.phase = phase;
        match phase {
            Phase::Running => {
                self.state.copy_from_slice(&self.seen.state);
                self.pot_k = self.seen.pot_k;
                self.dry = false;
            }
            Phase::Cold => {
                self.cold = cold;
                let reach = (from_s, time_s.max(from_s));
                self.start.advance(&mut self.cold, self.column.heater_w, reach);
                self.pot_k = self.cold.pot_k;
            }
            Phase::Resting => self.pot_k = if time_s <= from_s { pot_k } else { self.seen.pot_k },
        }
        self.time_s = time_s;
        self.fresh = phase == Phase::Running;
        Ok(())
    }

    /// Where `value` crosses zero from below between two instants of the last stretch.
    pub(crate) fn crossing(
        &mut self,
        (from_s, to_s): (f64, f64),
        value: impl Fn(&mut Self, f64) -> Result<f64, StillError>,
    ) -> Result<f64, StillError> {
        if to_s - from_s <= INSTANT_S || value(self, from_s)? >= 0.0 {
            return Ok(from_s);
        }
        if value(self, to_s)? < 0.0 {
            return Ok(to_s);
        }
        let mut failed = None;
        let function = |time_s: f64| match value(self, time_s) {
            Ok(value) => value,
            Err(error) => {
                failed = Some(error);
                f64::NAN
            }
        };
        let root = brent(function, from_s, to_s, Search::to(INSTANT_S));
        match (root, failed) {
            (Ok(root), _) => Ok(root.x),
            (Err(_), Some(error)) => Err(error),
            (Err(error), None) => Err(StillError::Integrator {
                time_s: from_s,
                steps: self.integrator.accepted,
                why: error.to_string(),
            }),
        }
    }
}
