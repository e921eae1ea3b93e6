//! Eliminates the column's unknowns from the pot upwards.

use numerics::linear::{Lu, Singular};

use super::rows::{difference, dot, product, through};
use super::{Block, Closure, Crossing, Eliminated, Factored, Linearisation, Row};
use crate::column::apparatus::Draw;

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
        let vapour: Block<C> = std::array::from_fn(|i| {
            std::array::from_fn(|k| {
                (1.0 - efficiency) * below.y[i][k] + efficiency * warm.vapour_slopes[i][k]
            })
        });
        let above_row = self.sensible_by_above(j);
        let slopes = &warm.temperature_slopes;
        let inverse_heat = 1.0 / self.flows.heat[j];
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
    pub(in crate::column) fn factor(
        &self,
        diagonal: f64,
        out: &mut Factored<C>,
    ) -> Result<(), Singular> {
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
            // What a partial condenser returns holds through a step.
            Draw::Duty(_) if !fixed_flow && !self.flows.all_returned => {
                Closure::TopFlow { weight: 1.0 / (1.0 - border_top_flow) }
            }
            _ => Closure::Fixed,
        }
    }
}
