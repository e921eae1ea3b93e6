//! Where a plant stands, and what held through its last stretch of time.

use super::cold::Cold;
use super::warming::Warming;

/// Where a plant stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Phase {
    /// The charge warms or the column fills.
    Cold,
    /// The column runs.
    Running,
    /// The column is full but no vapour rises.
    Resting,
}

/// The last stretch: what held through it, and where it began.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stretch {
    pub(super) phase: Phase,
    pub(super) from_s: f64,
    pub(super) to_s: f64,
    pub(super) cold: Cold,
    pub(super) pot_k: f64,
    /// Heat capacity of a resting pot.
    pub(super) warming: Option<Warming>,
}

impl Stretch {
    /// Before the first.
    pub(super) const fn none() -> Self {
        let cold = Cold { pot_k: 0.0, boils: false, taken_j: 0.0 };
        let (phase, warming) = (Phase::Cold, None);
        Self { phase, from_s: 0.0, to_s: 0.0, cold, pot_k: 0.0, warming }
    }
}
