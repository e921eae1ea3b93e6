//! The exact Jacobian of the column, factored and solved node by node.
//!
//! Eliminating from the pot upwards, everything that crosses an interface (the composition of the
//! vapour, its flow, its heat) is an affine function of the liquid above it. That keeps the
//! blocks as small as one composition although vapour that passes a stage unchanged and the heat
//! balance couple every stage to all below it. The take-off couples all of them once more: a
//! border of one column, solved along once a factorisation.

use numerics::linear::{Lu, Singular};
use thermo::Warm;

use super::apparatus::{Apparatus, Draw};
use super::flows::{Flows, Pot};
use super::node::Node;

type Row<const C: usize> = [f64; C];
type Block<const C: usize> = [[f64; C]; C];

/// Everything the Jacobian is made of, at one state.
pub(super) struct Linearisation<'a, const C: usize> {
    pub(super) apparatus: &'a Apparatus,
    pub(super) nodes: &'a [Node<C>],
    pub(super) flows: &'a Flows,
    pub(super) warm: &'a [Warm<C>],
    pub(super) pot: &'a Pot<C>,
    /// Second derivatives of the pot's boiling point along reflux and along vapour.
    pub(super) curvature: [Row<C>; 2],
    pub(super) draw: Draw,
    /// Gradient of the volume of one mole in the drum by its composition, L/mol, and that volume.
    pub(super) drum_volume: (Row<C>, f64),
}

/// One node after elimination.
#[derive(Clone)]
struct Eliminated<const C: usize> {
    lu: Lu<C>,
    /// Own unknown as a function of the one above.
    to_above: Block<C>,
    /// Leaving vapour composition by own unknown.
    vapour: Block<C>,
    /// Leaving flow and heat by own unknown.
    flow: Row<C>,
    heat: Row<C>,
    /// Latent heats by substance over the heat per mole, times the flow.
    latent: Row<C>,
    /// Factors of the constant parts: one over the heat per mole, and its sensible part.
    inverse_heat: f64,
    sensible: f64,
    /// Differences that multiply changes of flow: liquid above minus own vapour, vapour below
    /// minus own liquid, own liquid minus liquid above.
    up: Row<C>,
    down: Row<C>,
    across: Row<C>,
    flow_out: f64,
    flow_in: f64,
    capacity_mol: f64,
}

/// The factored system.
pub(super) struct Factored<const C: usize> {
    nodes: Vec<Eliminated<C>>,
    efficiency: f64,
    diagonal: f64,
    draw: f64,
    drum_x: Row<C>,
    /// Top flow by the drum's unknown.
    top_flow: Row<C>,
    border: Vec<Row<C>>,
    /// Take-off by the drum's composition (rate) or by the top flow (ratio).
    closure: Closure<C>,
}

#[derive(Clone, Copy)]
enum Closure<const C: usize> {
    Fixed,
    /// `dD = weight dV_N`, with the border's own share divided out already.
    TopFlow {
        weight: f64,
    },
    /// `dD = gradient . dx_R`, likewise.
    Drum {
        gradient: [f64; C],
    },
}

/// What crosses an interface upwards, as a function of the liquid above.
struct Crossing<const C: usize> {
    y: Block<C>,
    flow: Row<C>,
    heat: Row<C>,
}

fn dot<const C: usize>(a: &Row<C>, b: &Row<C>) -> f64 {
    let mut lanes = [0.0; 2];
    for i in 0..C {
        lanes[i % 2] += a[i] * b[i];
    }
    lanes[0] + lanes[1]
}

/// `row . block`.
fn through<const C: usize>(row: &Row<C>, block: &Block<C>) -> Row<C> {
    let mut out = [0.0; C];
    for k in 0..C {
        for i in 0..C {
            out[i] += row[k] * block[k][i];
        }
    }
    out
}

fn product<const C: usize>(a: &Block<C>, b: &Block<C>) -> Block<C> {
    let mut out = [[0.0; C]; C];
    for i in 0..C {
        out[i] = through(&a[i], b);
    }
    out
}

fn difference<const C: usize>(a: &Row<C>, b: &Row<C>) -> Row<C> {
    std::array::from_fn(|i| a[i] - b[i])
}

impl<const C: usize> Linearisation<'_, C> {
    /// Change of the heat that warms liquid from above, by that liquid's composition.
    fn sensible_by_above(&self, j: usize) -> Row<C> {
        let (node, above) = (&self.nodes[j], &self.nodes[j + 1]);
        let rise = node.temperature_k - above.temperature_k;
        let is_drum = j == self.apparatus.stages;
        let slopes = &self.warm[j + 1].temperature_slopes;
        if is_drum && self.apparatus.reflux_k.is_some() {
            return std::array::from_fn(|i| rise * self.warm[j + 1].cp[0][i]);
        }
        let by_temperature = rise * above.cp.1 - above.cp.0;
        std::array::from_fn(|i| rise * self.warm[j + 1].cp[0][i] + by_temperature * slopes[i])
    }

    fn eliminate_pot(&self, diagonal: f64) -> Result<(Eliminated<C>, Crossing<C>), Singular> {
        let (node, above, warm) = (&self.nodes[0], &self.nodes[1], &self.warm[0]);
        let (v, draw, terms) = (self.flows.vapour[0], self.flows.draw, &self.flows.pot);
        let slopes = &self.pot.temperature_slopes;
        let moles = self.pot.moles;
        // A row by composition becomes a row by moles.
        let by_moles = |row: &Row<C>| -> Row<C> {
            let mean = dot(row, &node.x);
            std::array::from_fn(|k| (row[k] - mean) / moles)
        };
        let mut vapour = warm.vapour_slopes;
        for row in &mut vapour {
            *row = by_moles(row);
        }
        let above_row = self.sensible_by_above(0);
        // Latent and sensible heat per mole of vapour, by the pot's moles.
        let mut heat_row = through(&warm.latent[0], &vapour);
        let direct = by_moles(&std::array::from_fn(|k| (node.latent.1 + above.cp.0) * slopes[k]));
        for k in 0..C {
            heat_row[k] += direct[k];
        }
        let (mut flow, mut flow_above) = ([0.0; C], [0.0; C]);
        let mut flow_by_draw = 0.0;
        if self.apparatus.constant_overflow_mol_s.is_none() {
            (flow, flow_above) = self.pot_flow_rows(&vapour, &heat_row, &above_row, &by_moles);
            flow_by_draw = terms.b / terms.a;
        }
        let up = difference(&above.x, &node.y);
        let mut k_block = [[0.0; C]; C];
        let mut to_above = [[0.0; C]; C];
        for i in 0..C {
            for k in 0..C {
                k_block[i][k] = v * vapour[i][k] - up[i] * flow[k];
                to_above[i][k] = up[i] * flow_above[k];
            }
            k_block[i][i] += diagonal;
            to_above[i][i] += v - draw;
        }
        let lu = Lu::factor(k_block)?;
        lu.solve_columns(&mut to_above);
        let heat: Row<C> = std::array::from_fn(|k| self.flows.heat[0] * flow[k] + v * heat_row[k]);
        let mut crossing = Crossing {
            y: product(&vapour, &to_above),
            flow: through(&flow, &to_above),
            heat: through(&heat, &to_above),
        };
        for k in 0..C {
            crossing.flow[k] += flow_above[k];
            crossing.heat[k] += self.flows.heat[0] * flow_above[k] + v * above_row[k];
        }
        let eliminated = Eliminated {
            lu,
            to_above,
            vapour,
            flow,
            heat,
            latent: [0.0; C],
            inverse_heat: flow_by_draw,
            sensible: self.flows.heat[0],
            up,
            down: [0.0; C],
            across: above.x.map(|x| -x),
            flow_out: v,
            flow_in: 0.0,
            capacity_mol: 1.0,
        };
        Ok((eliminated, crossing))
    }

    /// `dV_0` by the pot's moles and by the liquid above, from `V_0 = (Q + D b) / a`.
    fn pot_flow_rows(
        &self,
        vapour: &Block<C>,
        heat_row: &Row<C>,
        above_row: &Row<C>,
        by_moles: &dyn Fn(&Row<C>) -> Row<C>,
    ) -> (Row<C>, Row<C>) {
        let (node, above, warm) = (&self.nodes[0], &self.nodes[1], &self.warm[0]);
        let (v, draw, terms) = (self.flows.vapour[0], self.flows.draw, &self.flows.pot);
        let slopes = &self.pot.temperature_slopes;
        let temperature = by_moles(slopes);
        let slopes_by_vapour = through(slopes, vapour);
        let g1_row = by_moles(&std::array::from_fn(|k| self.curvature[0][k] - slopes[k]));
        let g0_row = by_moles(&std::array::from_fn(|k| self.curvature[1][k] - slopes[k]));
        let capacity = by_moles(&std::array::from_fn(|k| warm.cp[0][k] + node.cp.1 * slopes[k]));
        let metal = self.apparatus.boiler_metal_j_k / (self.pot.moles * self.pot.moles);
        let sensible = by_moles(&std::array::from_fn(|k| above.cp.0 * slopes[k]));
        let (mut flow, mut flow_above) = ([0.0; C], [0.0; C]);
        for k in 0..C {
            let d_capacity = capacity[k] - metal;
            let d_g1 = g1_row[k];
            let d_g0 = g0_row[k] + slopes_by_vapour[k];
            let d_b = sensible[k] + terms.g1 * d_capacity + terms.capacity * d_g1;
            let d_a =
                heat_row[k] + (terms.g1 - terms.g0) * d_capacity + terms.capacity * (d_g1 - d_g0);
            let d_q = -self.apparatus.boiler_loss_w_k * temperature[k];
            flow[k] = (d_q + draw * d_b - v * d_a) / terms.a;
            let by_above = above_row[k] + terms.capacity * slopes[k];
            flow_above[k] = (draw - v) * by_above / terms.a;
        }
        (flow, flow_above)
    }

    fn eliminate_stage(
        &self,
        j: usize,
        diagonal: f64,
        below: &Crossing<C>,
    ) -> Result<(Eliminated<C>, Crossing<C>), Singular> {
        let (node, above, warm) = (&self.nodes[j], &self.nodes[j + 1], &self.warm[j]);
        let (v, v_in, draw) = (self.flows.vapour[j], self.flows.vapour[j - 1], self.flows.draw);
        let efficiency = self.apparatus.efficiency;
        let mut vapour = [[0.0; C]; C];
        for i in 0..C {
            for k in 0..C {
                vapour[i][k] =
                    (1.0 - efficiency) * below.y[i][k] + efficiency * warm.vapour_slopes[i][k];
            }
        }
        let above_row = self.sensible_by_above(j);
        let slopes = &warm.temperature_slopes;
        let heat_per_mole = self.flows.heat[j];
        let inverse_heat = 1.0 / heat_per_mole;
        let mut flow = [0.0; C];
        let mut heat = [0.0; C];
        let mut flow_above = [0.0; C];
        let fixed = self.apparatus.constant_overflow_mol_s.is_some();
        let latent: Row<C> = warm.latent[0].map(|l| if fixed { 0.0 } else { l * v * inverse_heat });
        if !fixed {
            let latent_row = through(&warm.latent[0], &vapour);
            let loss = self.apparatus.stage_loss_w_k();
            for k in 0..C {
                heat[k] = below.heat[k] + (draw * above.cp.0 - loss) * slopes[k];
                let per_mole = latent_row[k] + (node.latent.1 + above.cp.0) * slopes[k];
                flow[k] = (heat[k] - v * per_mole) * inverse_heat;
                flow_above[k] = (draw - v) * above_row[k] * inverse_heat;
            }
        }
        let up = difference(&above.x, &node.y);
        let down = difference(&self.nodes[j - 1].y, &node.x);
        let capacity_mol = self.apparatus.stage_mol;
        let mut k_block = [[0.0; C]; C];
        let mut to_above = [[0.0; C]; C];
        for i in 0..C {
            for k in 0..C {
                k_block[i][k] = v * vapour[i][k]
                    - v_in * below.y[i][k]
                    - up[i] * flow[k]
                    - down[i] * below.flow[k];
                to_above[i][k] = up[i] * flow_above[k];
            }
            k_block[i][i] += capacity_mol * diagonal + v_in - draw;
            to_above[i][i] += v - draw;
        }
        let lu = Lu::factor(k_block)?;
        lu.solve_columns(&mut to_above);
        let mut crossing = Crossing {
            y: product(&vapour, &to_above),
            flow: through(&flow, &to_above),
            heat: through(&heat, &to_above),
        };
        for k in 0..C {
            crossing.flow[k] += flow_above[k];
            crossing.heat[k] += draw * above_row[k];
        }
        let eliminated = Eliminated {
            lu,
            to_above,
            vapour,
            flow,
            heat,
            latent,
            inverse_heat: if fixed { 0.0 } else { inverse_heat },
            sensible: if fixed { 0.0 } else { self.flows.sensible[j] },
            up,
            down,
            across: difference(&node.x, &above.x),
            flow_out: v,
            flow_in: v_in,
            capacity_mol,
        };
        Ok((eliminated, crossing))
    }

    fn eliminate_drum(
        &self,
        diagonal: f64,
        below: &Crossing<C>,
    ) -> Result<Eliminated<C>, Singular> {
        let n = self.apparatus.stages;
        let node = &self.nodes[n + 1];
        let v_in = self.flows.vapour[n];
        let down = difference(&self.nodes[n].y, &node.x);
        let mut k_block = [[0.0; C]; C];
        for i in 0..C {
            for k in 0..C {
                k_block[i][k] = -v_in * below.y[i][k] - down[i] * below.flow[k];
            }
            k_block[i][i] += self.apparatus.drum_mol * diagonal + v_in;
        }
        Ok(Eliminated {
            lu: Lu::factor(k_block)?,
            to_above: [[0.0; C]; C],
            vapour: [[0.0; C]; C],
            flow: [0.0; C],
            heat: [0.0; C],
            latent: [0.0; C],
            inverse_heat: 0.0,
            sensible: 0.0,
            up: [0.0; C],
            down,
            across: [0.0; C],
            flow_out: 0.0,
            flow_in: v_in,
            capacity_mol: self.apparatus.drum_mol,
        })
    }

    /// Factors `diagonal I - J`.
    pub(super) fn factor(&self, diagonal: f64, out: &mut Factored<C>) -> Result<(), Singular> {
        let n = self.apparatus.stages;
        out.nodes.clear();
        out.efficiency = self.apparatus.efficiency;
        out.diagonal = diagonal;
        out.draw = self.flows.draw;
        out.drum_x = self.nodes[n + 1].x;
        let (pot, mut crossing) = self.eliminate_pot(diagonal)?;
        out.nodes.push(pot);
        for j in 1..=n {
            let (stage, next) = self.eliminate_stage(j, diagonal, &crossing)?;
            out.nodes.push(stage);
            crossing = next;
        }
        out.nodes.push(self.eliminate_drum(diagonal, &crossing)?);
        out.top_flow = crossing.flow;
        out.closure = Closure::Fixed;
        if matches!(self.draw, Draw::Closed) {
            return Ok(());
        }
        let mut border = vec![[0.0; C]; n + 2];
        let top_flow = out.solve_nodes(&mut border, 1.0);
        out.closure = self.closure(&border[n + 1], top_flow);
        out.border = border;
        Ok(())
    }

    /// How a change of the take-off follows from the rest, the border's own share divided out.
    fn closure(&self, border_drum: &Row<C>, border_top_flow: f64) -> Closure<C> {
        let fixed_flow = self.apparatus.constant_overflow_mol_s.is_some();
        match self.draw {
            Draw::Rate(_) if !self.flows.limited => {
                let (gradient, volume) = &self.drum_volume;
                let row: Row<C> = gradient.map(|g| -self.flows.draw * g / volume);
                let share = 1.0 - dot(&row, border_drum);
                Closure::Drum { gradient: row.map(|g| g / share) }
            }
            Draw::Ratio(_) | Draw::Rate(_) if !fixed_flow => {
                let ratio = if let Draw::Ratio(ratio) = self.draw { ratio } else { 0.0 };
                Closure::TopFlow { weight: 1.0 / (ratio + 1.0 - border_top_flow) }
            }
            _ => Closure::Fixed,
        }
    }
}

impl<const C: usize> Factored<C> {
    /// Nothing factored yet.
    pub(super) const fn empty() -> Self {
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
    fn solve_nodes(&self, right: &mut [Row<C>], draw: f64) -> f64 {
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
    pub(super) fn solve(&self, right: &mut [Row<C>]) {
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
