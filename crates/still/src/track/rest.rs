//! The tracked still while nothing boils, or nothing rises: it cools or warms until it does again.

use super::machine::{BOILING_W, FIRST_STEP_S, Runner};
use super::points::Point;
use super::warm_up::warm;
use crate::equilibrium::Equilibrium;
use crate::error::StillError;

/// Less of the pot's vapour than this share at the top is none.
const VAPOUR_SHARE: f64 = 1e-3;

impl<const C: usize, E: Equilibrium<C> + Clone> Runner<C, E> {
    pub(super) fn has_heat(&self) -> bool {
        let apparatus = &self.column.apparatus;
        let lost_w = apparatus.boiler_loss_w_k * (self.pot_k - apparatus.ambient_k);
        self.column.heater_w - lost_w > BOILING_W
    }

    /// Nothing boils: the pot cools or warms until it boils again.
    pub(super) fn rest(&mut self, until_s: f64) -> Result<(), StillError> {
        let boil_k = self.column.nodes()[0].temperature_k;
        let before = self.time_s;
        self.note_rest();
        (self.time_s, self.pot_k) = warm(
            self.column.equilibrium(),
            &self.column.apparatus,
            &self.state[..C],
            self.column.heater_w,
            (self.time_s, until_s),
            (self.pot_k.min(boil_k), boil_k),
        );
        self.resting = self.pot_k < boil_k || !self.has_heat();
        if !self.resting {
            self.evaluate()?;
            self.resting = !self.rises();
        }
        if !self.resting {
            self.integrator.restart(FIRST_STEP_S);
        } else if self.time_s <= before {
            // At the boil with no heat to spare: only time passes.
            self.time_s = until_s;
        }
        self.note_rest();
        Ok(())
    }

    /// Whether vapour leaves the top stage: a column may lose all that a weak heater makes.
    pub(super) fn rises(&self) -> bool {
        let vapour = &self.column.flows().vapour;
        vapour[self.column.apparatus.stages] > VAPOUR_SHARE * vapour[0].max(0.0)
    }

    /// The resting still as a point of the track: nothing flows.
    fn note_rest(&mut self) {
        if let Some(last) = self.track.points.last().copied() {
            let still = Point {
                time_s: self.time_s,
                pot_k: self.pot_k,
                vapour_mol_s: 0.0,
                duty_w: 0.0,
                draw_mol_s: 0.0,
                ..last
            };
            if last.time_s >= self.time_s {
                self.track.points.pop();
            }
            self.track.points.push(still);
        }
    }

    /// After a pause: time that passes until the pot boils again, where it will.
    pub(super) fn boil_again(&mut self, limit_s: f64) -> Result<(), StillError> {
        if self.resting && self.has_heat() {
            self.rest(limit_s)?;
        }
        Ok(())
    }
}
