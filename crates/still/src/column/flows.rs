//! Vapour flows and take-off from the heat balance, at given compositions and temperatures.

use alcoholometry::kernel;

use super::apparatus::{Apparatus, Draw};
use super::node::Node;

/// Flows through the still at one instant.
#[derive(Debug, Clone, Default)]
pub struct Flows {
    /// Vapour leaving each node, mol/s (0 = pot).
    pub vapour: Vec<f64>,
    /// Heat to make one mole of it and warm the liquid that meets it, J/mol.
    pub(super) heat: Vec<f64>,
    /// Heat that warms one mole of the liquid coming down from above, J/mol.
    pub(super) sensible: Vec<f64>,
    /// Take-off, mol/s.
    pub draw: f64,
    /// Whether the take-off asked for was more than the vapour.
    pub limited: bool,
    /// Whether the partial condenser returns all of the vapour.
    pub all_returned: bool,
    /// Terms of the pot's heat balance.
    pub(super) pot: PotTerms,
}

/// `V_0 = (Q + D b) / a` and the parts of `a` and `b`.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct PotTerms {
    pub(super) a: f64,
    pub(super) b: f64,
    /// Heat capacity of liquid and metal per mole of liquid, J/(mol K).
    pub(super) capacity: f64,
    /// Warming per mole of vapour leaving (g0) and of reflux coming back (g1), K.
    pub(super) g0: f64,
    pub(super) g1: f64,
}

/// What the pot adds to the nodes: its moles, heater and boiling-point slopes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pot<const C: usize> {
    pub(super) moles: f64,
    pub(super) heater_w: f64,
    pub(super) temperature_slopes: [f64; C],
}

impl Flows {
    pub(super) fn sized(stages: usize) -> Self {
        let zeros = || vec![0.0; stages + 1];
        Self { vapour: zeros(), heat: zeros(), sensible: zeros(), ..Self::default() }
    }

    /// Computes all flows. `nodes` holds pot, stages and, last, the drum.
    pub(super) fn compute<const C: usize>(
        &mut self,
        apparatus: &Apparatus,
        nodes: &[Node<C>],
        pot: &Pot<C>,
        draw: Draw,
        top_latent_j_mol: f64,
    ) {
        for j in 0..=apparatus.stages {
            let above = &nodes[j + 1];
            self.sensible[j] = above.cp.0 * (nodes[j].temperature_k - above.temperature_k);
            self.heat[j] = nodes[j].latent.0 + self.sensible[j];
        }
        self.pot_terms(apparatus, nodes, pot);
        self.limited = false;
        match draw {
            Draw::Closed => self.follow(apparatus, nodes, pot, 0.0),
            Draw::Ratio(ratio) => self.follow_ratio(apparatus, nodes, pot, ratio),
            Draw::Duty(watts) => {
                self.follow_duty(apparatus, nodes, pot, watts / top_latent_j_mol);
            }
            Draw::Rate(litres_s) => {
                let x = &nodes[apparatus.stages + 1].x;
                let asked = litres_s / kernel::litres_20c(x[1], x[0]);
                self.follow(apparatus, nodes, pot, asked);
                if asked > self.vapour[apparatus.stages] {
                    self.follow_ratio(apparatus, nodes, pot, 0.0);
                    self.limited = true;
                }
            }
        }
    }

    fn pot_terms<const C: usize>(
        &mut self,
        apparatus: &Apparatus,
        nodes: &[Node<C>],
        pot: &Pot<C>,
    ) {
        let (mut g0, mut g1) = (0.0, 0.0);
        for i in 0..C {
            g0 += pot.temperature_slopes[i] * (nodes[0].y[i] - nodes[0].x[i]);
            g1 += pot.temperature_slopes[i] * (nodes[1].x[i] - nodes[0].x[i]);
        }
        let capacity = nodes[0].cp.0 + apparatus.boiler_metal_j_k / pot.moles;
        let b = self.sensible[0] + capacity * g1;
        let a = nodes[0].latent.0 + self.sensible[0] + capacity * (g1 - g0);
        self.pot = PotTerms { a, b, capacity, g0, g1 };
    }

    /// Heat into the pot that is not lost through its wall, W.
    fn net_heat_w<const C: usize>(apparatus: &Apparatus, nodes: &[Node<C>], pot: &Pot<C>) -> f64 {
        pot.heater_w - apparatus.boiler_loss_w_k * (nodes[0].temperature_k - apparatus.ambient_k)
    }

    /// All vapour flows at take-off `draw` mol/s.
    fn follow<const C: usize>(
        &mut self,
        apparatus: &Apparatus,
        nodes: &[Node<C>],
        pot: &Pot<C>,
        draw: f64,
    ) {
        self.draw = draw;
        if let Some(overflow) = apparatus.constant_overflow_mol_s {
            self.vapour.fill(overflow);
            return;
        }
        self.vapour[0] = (Self::net_heat_w(apparatus, nodes, pot) + draw * self.pot.b) / self.pot.a;
        let mut energy = self.vapour[0] * self.heat[0];
        for j in 1..=apparatus.stages {
            let lost = apparatus.stage_loss_w_k() * (nodes[j].temperature_k - apparatus.ambient_k);
            energy += draw * self.sensible[j] - lost;
            self.vapour[j] = energy / self.heat[j];
        }
    }

    /// All flows at a reflux ratio: take-off and vapour depend on each other linearly.
    fn follow_ratio<const C: usize>(
        &mut self,
        apparatus: &Apparatus,
        nodes: &[Node<C>],
        pot: &Pot<C>,
        ratio: f64,
    ) {
        if let Some(overflow) = apparatus.constant_overflow_mol_s {
            self.follow(apparatus, nodes, pot, overflow / (ratio + 1.0));
            return;
        }
        let (supply, spared) = self.top_heat_w(apparatus, nodes, pot);
        let need = (ratio + 1.0) * self.heat[apparatus.stages] - spared;
        self.follow(apparatus, nodes, pot, supply / need);
    }

    /// All flows where a partial condenser returns `reflux` mol/s, never more than the vapour: the
    /// rest is drawn.
    fn follow_duty<const C: usize>(
        &mut self,
        apparatus: &Apparatus,
        nodes: &[Node<C>],
        pot: &Pot<C>,
        reflux: f64,
    ) {
        if let Some(overflow) = apparatus.constant_overflow_mol_s {
            self.follow(apparatus, nodes, pot, (overflow - reflux).max(0.0));
            return;
        }
        let (supply, spared) = self.top_heat_w(apparatus, nodes, pot);
        let top = self.heat[apparatus.stages];
        let draw = (supply - reflux * top) / (top - spared);
        self.all_returned = draw <= 0.0;
        self.follow(apparatus, nodes, pot, draw.max(0.0));
    }

    /// Heat that reaches the top with nothing drawn, W, and what each mole drawn adds to it, J/mol.
    fn top_heat_w<const C: usize>(
        &self,
        apparatus: &Apparatus,
        nodes: &[Node<C>],
        pot: &Pot<C>,
    ) -> (f64, f64) {
        let (mut lost, mut warmed) = (0.0, 0.0);
        for j in 1..=apparatus.stages {
            lost += apparatus.stage_loss_w_k() * (nodes[j].temperature_k - apparatus.ambient_k);
            warmed += self.sensible[j];
        }
        let per_a = self.heat[0] / self.pot.a;
        let supply = per_a * Self::net_heat_w(apparatus, nodes, pot) - lost;
        (supply, warmed + per_a * self.pot.b)
    }
}
