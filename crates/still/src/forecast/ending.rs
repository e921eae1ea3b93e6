//! Where a step ends inside the integrator's last step: conditions, plateau and rise.

use numerics::root::{Search, brent};

use super::runner::{Runner, Running};
use super::triggers::{Condition, REARM_K, REARM_LATEST_S};
use crate::equilibrium::Equilibrium;
use crate::error::StillError;
use crate::outcome::EndedBy;

/// How finely the end of a step is found, s.
const END_TOLERANCE_S: f64 = 1e-6;

impl<const C: usize, E: Equilibrium<C>> Runner<'_, C, E> {
    /// The earliest end of the step within the integrator's last step, if any.
    pub(super) fn end_within(
        &mut self,
        from: f64,
        to: f64,
        running: &mut Running<C>,
    ) -> Result<Option<(f64, EndedBy)>, StillError> {
        self.evaluate_at(to)?;
        self.column.remember();
        self.peaks.look(&self.column);
        let probe = std::mem::take(&mut self.probe);
        let met: Vec<Condition> = running
            .conditions
            .iter()
            .copied()
            .filter(|condition| self.condition(*condition, &probe, running) >= 0.0)
            .collect();
        self.probe = probe;
        let mut end: Option<(f64, EndedBy)> = None;
        for condition in met {
            let value = |runner: &mut Self, time_s: f64| {
                runner.evaluate_at(time_s)?;
                let probe = std::mem::take(&mut runner.probe);
                let value = runner.condition(condition, &probe, running);
                runner.probe = probe;
                Ok(value)
            };
            let time_s = self.crossing(from, to, value)?;
            if end.is_none_or(|(earliest, _)| time_s < earliest) {
                end = Some((time_s, condition.ended_by()));
            }
        }
        let until = end.map_or(to, |(time_s, _)| time_s);
        let rise = self.rise_within(from, until, running)?;
        Ok(rise.map(|time_s| (time_s, EndedBy::UntilRiseK)).or(end))
    }

    /// Follows plateau and rise up to `to`; the time at which the rise trigger acts, if it does.
    fn rise_within(
        &mut self,
        from: f64,
        to: f64,
        running: &mut Running<C>,
    ) -> Result<Option<f64>, StillError> {
        if running.draws {
            self.sample_plateau(to, running)?;
        }
        let (Some(limit), Some(plateau)) = (running.rise_k, self.plateau.plateau()) else {
            return Ok(None);
        };
        let rise = self.head_at(to)? - plateau - limit;
        if running.armed_s.is_none() {
            let by_time = !running.slow_phase || to >= running.start_s + REARM_LATEST_S;
            if by_time || rise <= -REARM_K {
                running.armed_s = Some(to);
            }
        }
        let Some(armed_s) = running.armed_s else { return Ok(None) };
        if rise < 0.0 {
            return Ok(None);
        }
        let value = |runner: &mut Self, time_s: f64| Ok(runner.head_at(time_s)? - plateau - limit);
        self.crossing(from.max(armed_s).min(to), to, value).map(Some)
    }

    /// Takes the plateau's samples up to `to`; the rise is armed where the plateau is first known.
    fn sample_plateau(&mut self, to: f64, running: &mut Running<C>) -> Result<(), StillError> {
        let Some(passed) = self.hearts_s else { return Ok(()) };
        while let Some(sample_s) = self.plateau.next_sample_s() {
            let time_s = running.start_s + sample_s - passed;
            if time_s > to + 1e-9 {
                break;
            }
            // The very first sample falls on the start of hearts, before any integrator step.
            let head_k = self.head_at(time_s.min(to))?;
            if self.plateau.sample(head_k) && !running.slow_phase {
                running.armed_s = Some(time_s.min(to));
            }
        }
        Ok(())
    }

    /// Where `value` crosses zero from below between two times of the last integrator step.
    fn crossing(
        &mut self,
        from: f64,
        to: f64,
        value: impl Fn(&mut Self, f64) -> Result<f64, StillError>,
    ) -> Result<f64, StillError> {
        if to - from <= END_TOLERANCE_S || value(self, from)? >= 0.0 {
            return Ok(from);
        }
        let mut failed = None;
        let function = |time_s: f64| match value(self, time_s) {
            Ok(value) => value,
            Err(error) => {
                failed = Some(error);
                f64::NAN
            }
        };
        let root = brent(function, from, to, Search::to(END_TOLERANCE_S));
        match (root, failed) {
            (Ok(root), _) => Ok(root.x),
            (Err(_), Some(error)) => Err(error),
            (Err(error), None) => Err(self.gave_up(&error.to_string())),
        }
    }
}
