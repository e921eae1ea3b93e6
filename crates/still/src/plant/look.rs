//! What a plant shows at an instant of its last stretch.

use alcoholometry::kernel;

use super::{Phase, Plant};
use crate::column::Draw;
use crate::equilibrium::Equilibrium;
use crate::error::StillError;
use crate::fraction::Fraction;
use crate::outcome::Balance;
use crate::setup::{ICE_POINT_K, ML_PER_MIN};

impl<const C: usize, E: Equilibrium<C>> Plant<C, E> {
    /// Looks at an instant of the last stretch, the present included: all below tells of it.
    pub(crate) fn look(&mut self, time_s: f64) -> Result<(), StillError> {
        let inside = time_s < self.time_s && time_s < self.stretch.to_s;
        self.seen.time_s = time_s;
        self.seen.phase = if inside { self.stretch.phase } else { self.phase };
        let cold = if inside { &self.stretch.cold } else { &self.cold };
        self.seen.hot = self.start.head_is_hot(cold);
        self.seen.boils = cold.boils;
        if inside && self.stretch.phase == Phase::Running {
            self.integrator.interpolate(time_s, &mut self.seen.state);
            self.fresh = false;
            self.column.evaluate(&self.seen.state).map_err(StillError::at(time_s))?;
            self.seen.pot_k = self.column.nodes()[0].temperature_k;
            return Ok(());
        }
        self.seen.state.copy_from_slice(&self.state);
        if self.phase == Phase::Running && !inside {
            self.evaluate()?;
        }
        self.seen.pot_k = if inside { self.cold_pot_k(time_s) } else { self.pot_k };
        Ok(())
    }

    /// The pot inside a stretch in which nothing ran, K.
    fn cold_pot_k(&self, time_s: f64) -> f64 {
        let (from_s, heater_w) = (self.stretch.from_s, self.column.heater_w);
        if let Some(warming) = self.stretch.warming {
            return warming.go(heater_w, (from_s, time_s), (self.stretch.pot_k, self.boil_k)).1;
        }
        let mut cold = self.stretch.cold;
        self.start.advance(&mut cold, heater_w, (from_s, time_s));
        cold.pot_k
    }

    fn row(&self, row: usize) -> &[f64; C] {
        &self.seen.state.as_chunks().0[row]
    }

    /// Stages in the column.
    pub(crate) const fn stages(&self) -> usize {
        self.column.apparatus.stages
    }

    /// Moles in the pot, before the column is full all that was charged.
    pub(crate) fn pot_mol(&self) -> &[f64; C] {
        if self.seen.phase == Phase::Cold { &self.charge_mol } else { self.row(0) }
    }

    /// Liquid on a stage from the bottom up, mole fractions.
    pub(crate) fn stage(&self, stage: usize) -> &[f64; C] {
        self.row(1 + stage)
    }

    /// Liquid in the drum, mole fractions.
    pub(crate) fn drum(&self) -> &[f64; C] {
        self.row(self.stages() + 1)
    }

    /// Strength in the drum, % vol.
    pub(crate) fn drum_vol(&self) -> f64 {
        kernel::strength_percent_20c(self.drum()[1], self.drum()[0])
    }

    /// Moles that left the drum to be drawn, what is lost of them included.
    fn left_mol(&self) -> &[f64; C] {
        self.row(self.stages() + 2)
    }

    /// Share of what leaves the drum that reaches the receiver.
    const fn kept_share(&self) -> f64 {
        1.0 - self.column.apparatus.vapour_lost
    }

    /// Moles drawn.
    pub(crate) fn drawn_mol(&self) -> [f64; C] {
        self.left_mol().map(|mol| mol * self.kept_share())
    }

    /// Moles held in column and drum.
    pub(crate) fn held_mol(&self) -> [f64; C] {
        if self.seen.phase == Phase::Cold {
            return [0.0; C];
        }
        let apparatus = &self.column.apparatus;
        std::array::from_fn(|i| {
            let stages: f64 = (0..apparatus.stages).map(|j| self.stage(j)[i]).sum();
            stages * apparatus.stage_mol + self.drum()[i] * apparatus.drum_mol
        })
    }

    /// Pot as looked at, K.
    pub(crate) const fn seen_pot_k(&self) -> f64 {
        self.seen.pot_k
    }

    /// Pot, °C.
    pub(crate) fn pot_c(&self) -> f64 {
        self.seen.pot_k - ICE_POINT_K
    }

    /// Whether stages and drum are full.
    pub(crate) fn is_full(&self) -> bool {
        self.seen.phase != Phase::Cold
    }

    /// Whether the column runs.
    pub(crate) fn runs(&self) -> bool {
        self.seen.phase == Phase::Running
    }

    /// Head where vapour is there, K.
    pub(crate) fn head_k(&self) -> Result<Option<f64>, StillError> {
        match self.seen.phase {
            Phase::Running => {
                let head = self.column.head_k().map_err(StillError::at(self.seen.time_s))?;
                Ok(Some(head))
            }
            Phase::Cold if self.seen.hot => Ok(Some(self.start.head_jump_k)),
            Phase::Cold | Phase::Resting => Ok(None),
        }
    }

    /// The liquid at these shares of the packed height, from its foot, K: in straight lines between
    /// the middles of the stages, and down to the pot.
    pub(crate) fn column_k<const N: usize>(&self, heights: [f64; N]) -> [f64; N] {
        let (nodes, stages) = (self.column.nodes(), self.stages());
        heights.map(|height| {
            let place = (height * stages as f64 + 0.5).clamp(0.0, stages as f64);
            // Truncation is the point: the node below.
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to N")]
            let low = place as usize;
            let high = (low + 1).min(stages);
            let [low_k, high_k] = [low, high].map(|node| nodes[node].temperature_k);
            low_k + (place - low as f64) * (high_k - low_k)
        })
    }

    /// Head at the present by the column's equations, vapour or not, K.
    pub(crate) fn column_head_k(&mut self) -> Result<f64, StillError> {
        self.look(self.time_s)?;
        self.evaluate()?;
        self.column.head_k().map_err(StillError::at(self.time_s))
    }

    /// Vapour that reaches the top, mol/s; zero where none does, none where it is still to come.
    pub(crate) fn vapour(&self) -> Option<f64> {
        match self.seen.phase {
            Phase::Running => Some(self.top_vapour()),
            Phase::Cold => None,
            Phase::Resting if self.comes_back() => None,
            Phase::Resting => Some(0.0),
        }
    }

    /// Vapour from the pot and from the top stage, mol/s.
    pub(crate) fn vapours(&self) -> (f64, f64) {
        let vapour = &self.column.flows().vapour;
        if self.runs() { (vapour[0].max(0.0), vapour[self.stages()].max(0.0)) } else { (0.0, 0.0) }
    }

    /// Take-off, mol/s.
    pub(crate) fn draw_mol_s(&self) -> f64 {
        if self.runs() { self.kept_share() * self.column.flows().draw.max(0.0) } else { 0.0 }
    }

    /// Take-off, mL/min at 20 °C.
    pub(crate) fn takeoff_ml_per_min(&self) -> f64 {
        self.draw_mol_s() * kernel::litres_20c(self.drum()[1], self.drum()[0]) * ML_PER_MIN
    }

    /// Heat given off in the condenser, W.
    pub(crate) fn duty_w(&self) -> f64 {
        self.vapours().1 * self.column.nodes()[self.stages()].latent.0
    }

    /// Whether spirit runs.
    pub(crate) fn draws(&self) -> bool {
        self.runs() && self.column.draw != Draw::Closed
    }

    /// Whether the pot boils.
    pub(crate) fn boils(&self) -> bool {
        self.runs() || (self.seen.phase == Phase::Cold && self.seen.boils)
    }

    /// Litres at 20 °C in the pot.
    pub(crate) fn pot_litres(&self) -> f64 {
        Fraction::of(self.pot_mol()).litres_20c
    }

    /// (charge - pot - held - drawn - lost) / charge.
    pub(crate) fn balance(&self) -> Balance {
        let (pot, held, drawn) = (self.pot_mol(), self.held_mol(), self.left_mol());
        let out = |i: usize| pot[i] + held[i] + drawn[i];
        let charge = &self.charge_mol;
        let all_in: f64 = charge.iter().sum();
        let all_out: f64 = (0..C).map(out).sum();
        let ethanol_rel = if charge[1] > 0.0 { (charge[1] - out(1)) / charge[1] } else { 0.0 };
        Balance { ethanol_rel, total_rel: (all_in - all_out) / all_in }
    }
}
