//! What a walk is told of a still, and what it answers.

use crate::outcome::EndedBy;

/// A still at one moment, as a simulation has it or as probes, jars and a person tell of it.
///
/// What is not known is none: a trigger whose observation is missing is not met. Head and pot are
/// compared with the plan as they are given, so a live reading is corrected to the site's pressure
/// before; the unit of the head may be °C or K, the same through a run.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Observation {
    /// Run time, s.
    pub time_s: f64,
    /// Drawn in the running step, mL at 20 °C.
    pub step_ml: Option<f64>,
    /// Drawn since heat, mL at 20 °C.
    pub total_ml: Option<f64>,
    /// Strength of what leaves the drum, % vol.
    pub drum_vol: Option<f64>,
    /// Pot, °C.
    pub pot_c: Option<f64>,
    /// Head, corrected for pressure; none while no vapour is there.
    pub head: Option<f64>,
    /// Liquid in the pot, L at 20 °C.
    pub pot_litres: Option<f64>,
    /// What is left in the pot as a share of the charge, by moles (or by volume, live).
    pub pot_share: Option<f64>,
    /// Vapour that reaches the top, mol/s, or any number that is zero or less where none does.
    /// None while it is not known, or still to come: before the boil, after a pause.
    pub vapour: Option<f64>,
    /// Whether stages and drum are full.
    pub filled: bool,
    /// Whether the take-off is open and spirit runs: only such time counts for the plateau.
    pub drawing: bool,
}

/// What ends a step, with the numbers a person is told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Met {
    /// The cause.
    pub by: EndedBy,
    /// What is observed: mL, K, % vol, °C, min, L or mol/s, as the cause has it.
    pub seen: f64,
    /// What it is compared with, in the same unit.
    pub limit: f64,
}

impl Met {
    /// How far it is beyond the limit: negative before it is met, zero or more from then on.
    #[must_use]
    pub const fn margin(&self) -> f64 {
        match self.by {
            EndedBy::UntilStrengthVol
            | EndedBy::ElementCover
            | EndedBy::PotDry
            | EndedBy::NoVapour => self.limit - self.seen,
            _ => self.seen - self.limit,
        }
    }
}
