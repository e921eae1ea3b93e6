//! Solves with the factors: up through the column, back down, then the border.

use super::rows::dot;
use super::{Closure, Factored, Row};

impl<const C: usize> Factored<C> {
    /// Nothing factored yet.
    pub(in crate::column) const fn empty() -> Self {
        Self {
            nodes: Vec::new(),
            efficiency: 1.0,
            diagonal: 1.0,
            draw: 0.0,
            drum_x: [0.0; C],
            top_flow: [0.0; C],
            border: Vec::new(),
            closure: Closure::Fixed,
        }
    }

    /// Solves for pot, stages and drum at a change `draw` of the take-off; `right` is in the
    /// units of `y'` and becomes the solution. Returns the change of the top flow.
    pub(super) fn solve_nodes(&self, right: &mut [Row<C>], draw: f64) -> f64 {
        let (mut y, mut flow, mut heat) = ([0.0; C], 0.0, 0.0);
        let last = self.nodes.len() - 1;
        let pot = &self.nodes[0];
        // The pot keeps dV_0/dD where the stages keep one over the heat per mole.
        let pot_flow = pot.inverse_heat * draw;
        for i in 0..C {
            right[0][i] += pot.up[i] * pot_flow + pot.across[i] * draw;
        }
        pot.lu.solve(&mut right[0]);
        for i in 0..C {
            y[i] = dot(&pot.vapour[i], &right[0]);
        }
        flow += dot(&pot.flow, &right[0]) + pot_flow;
        heat += dot(&pot.heat, &right[0]) + pot.sensible * pot_flow;
        for j in 1..last {
            let node = &self.nodes[j];
            let own_y: Row<C> = y.map(|y| (1.0 - self.efficiency) * y);
            let own_heat = heat + node.sensible * draw;
            let own_flow = own_heat * node.inverse_heat - dot(&node.latent, &own_y);
            let target = &mut right[j];
            for i in 0..C {
                target[i] = target[i] * node.capacity_mol + node.up[i] * own_flow
                    - node.flow_out * own_y[i]
                    + node.down[i] * flow
                    + node.flow_in * y[i]
                    + node.across[i] * draw;
            }
            node.lu.solve(target);
            for i in 0..C {
                y[i] = dot(&node.vapour[i], target) + own_y[i];
            }
            flow = dot(&node.flow, target) + own_flow;
            heat = dot(&node.heat, target) + own_heat;
        }
        let drum = &self.nodes[last];
        let target = &mut right[last];
        for i in 0..C {
            target[i] = target[i] * drum.capacity_mol + drum.down[i] * flow + drum.flow_in * y[i];
        }
        drum.lu.solve(target);
        let top_flow = dot(&self.top_flow, target) + flow;
        for j in (0..last).rev() {
            let above = right[j + 1];
            for i in 0..C {
                right[j][i] += dot(&self.nodes[j].to_above[i], &above);
            }
        }
        top_flow
    }

    /// Solves `(diagonal I - J) z = right` in place; the last row is the receiver.
    pub(in crate::column) fn solve(&self, right: &mut [Row<C>]) {
        let drum = self.nodes.len() - 1;
        let (column, receiver) = right.split_at_mut(drum + 1);
        let top_flow = self.solve_nodes(column, 0.0);
        let draw = match &self.closure {
            Closure::Fixed => 0.0,
            Closure::TopFlow { weight } => weight * top_flow,
            Closure::Drum { gradient } => dot(gradient, &column[drum]),
        };
        if draw != 0.0 {
            for (row, border) in column.iter_mut().zip(&self.border) {
                for i in 0..C {
                    row[i] += draw * border[i];
                }
            }
        }
        for i in 0..C {
            receiver[0][i] = (receiver[0][i] + draw * self.drum_x[i] + self.draw * column[drum][i])
                / self.diagonal;
        }
    }
}
