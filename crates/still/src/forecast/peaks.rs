//! The largest values that a run meets on the way.

use crate::equilibrium::Equilibrium;
use crate::plant::Plant;

/// Largest values met on the way.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Peaks {
    /// Heat that the condenser takes up, W.
    pub(super) condenser_w: f64,
    /// Take-off, mol/s and mL/min.
    pub(super) takeoff_ml_per_min: f64,
    /// Whether a take-off rate was above the vapour, and by which vapour it was cut, mL/min.
    pub(super) limited_ml_per_min: Option<f64>,
}

impl Peaks {
    /// Looks at the plant after an evaluation of its present.
    pub(super) fn look<const C: usize, E: Equilibrium<C>>(&mut self, plant: &Plant<C, E>) {
        if !plant.runs() {
            return;
        }
        let n = plant.stages();
        let (nodes, flows) = (plant.column.nodes(), plant.column.flows());
        let subcooling = nodes[n + 1].cp.0 * (nodes[n].temperature_k - nodes[n + 1].temperature_k);
        let duty = flows.vapour[n] * (nodes[n].latent.0 + subcooling.max(0.0));
        self.condenser_w = self.condenser_w.max(duty);
        let rate = plant.takeoff_ml_per_min();
        self.takeoff_ml_per_min = self.takeoff_ml_per_min.max(rate);
        if flows.limited {
            self.limited_ml_per_min = Some(self.limited_ml_per_min.map_or(rate, |r| r.min(rate)));
        }
    }
}
