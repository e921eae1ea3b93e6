//! What one fit has to explain: the still that is simulated, and what was measured at it.

use still::StillError;

use super::believe::Beliefs;
use super::measured::Measured;
use super::model::{ChangeOver, Model, Reach, Simulated, Unknowns};

/// Unknowns in their own units.
pub(super) fn unknowns(beliefs: &Beliefs, z: &Unknowns) -> Unknowns {
    std::array::from_fn(|i| beliefs.of[i].mean + beliefs.of[i].sd * z[i])
}

/// The problem of one fit.
pub(super) struct Problem<'a> {
    pub(super) model: &'a Model<'a>,
    pub(super) measured: &'a Measured,
    /// Whether the measurements count.
    pub(super) update: bool,
}

impl Problem<'_> {
    pub(super) fn simulate(&self, z: &Unknowns, reach: Reach) -> Result<Simulated, StillError> {
        self.model.simulate(&unknowns(self.model.beliefs, z), reach)
    }

    /// On to the end of the hearts with a person who changes over at once.
    pub(super) fn simulate_prompt(&self, z: &Unknowns) -> Result<Simulated, StillError> {
        let unknowns = unknowns(self.model.beliefs, z);
        self.model.simulate_with(&unknowns, Reach::Hearts, ChangeOver::Prompt)
    }

    pub(super) fn residuals(&self, simulated: &Simulated, z: &Unknowns) -> Vec<f64> {
        if !self.update {
            return Vec::new();
        }
        self.measured.residuals(simulated, &unknowns(self.model.beliefs, z))
    }
}
