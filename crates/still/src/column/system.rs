//! The column as a stiff system: state in, derivative out, linearised and factored on demand.

use std::cell::Cell;

use alcoholometry::kernel;
use numerics::rosenbrock::StiffSystem;
use thermo::{ThermoError, Warm};

use super::apparatus::{Apparatus, Draw};
use super::flows::{Flows, Pot};
use super::node::Node;
use super::sweep::{Factored, Linearisation};
use crate::equilibrium::Equilibrium;

/// Why the column's equations could not be evaluated.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ColumnError {
    /// A bubble or dew point failed.
    #[error(transparent)]
    Equilibrium(#[from] ThermoError),
    /// The linear system has no solution.
    #[error("the linearised column is singular at column {0} of a block")]
    Singular(usize),
}

/// Share of the way to reflux or vapour for the curvature of the pot's boiling point: its error,
/// of the same share, touches a small term of the Jacobian only.
const CURVATURE_STEP: f64 = 1e-5;

/// Pot, stages, drum and receiver with their present flows.
///
/// State vector: for each of pot, stages from the bottom, drum, receiver, one value per
/// substance: moles in the pot, mole fractions, mole fractions, moles drawn.
pub struct Column<const C: usize, E> {
    equilibrium: E,
    /// The apparatus.
    pub apparatus: Apparatus,
    /// How much is drawn.
    pub draw: Draw,
    /// Heater power, W.
    pub heater_w: f64,
    nodes: Vec<Node<C>>,
    /// What the head shows with these nodes, once it was asked for, K.
    head_k: Cell<Option<f64>>,
    warm: Vec<Warm<C>>,
    pot: Pot<C>,
    flows: Flows,
    /// Latent heat of the top vapour at the last linearisation, J/mol: it holds through a step, so
    /// that what a partial condenser returns does too.
    top_latent_j_mol: f64,
    /// Nodes of the evaluation that the next linearisation will be at, if all goes well.
    remembered: Vec<Node<C>>,
    /// Nodes, pot and flows where the column was last linearised.
    kept: (Vec<Node<C>>, Pot<C>, Flows),
    curvature: [[f64; C]; 2],
    drum_volume: ([f64; C], f64),
    factored: Factored<C>,
}

/// Mole fractions of a vector of moles, and their sum.
fn fractions<const C: usize>(moles: &[f64; C]) -> ([f64; C], f64) {
    let sum: f64 = moles.iter().sum();
    (moles.map(|n| n / sum), sum)
}

fn rows<const C: usize>(state: &[f64]) -> &[[f64; C]] {
    state.as_chunks().0
}

impl<const C: usize, E: Equilibrium<C>> Column<C, E> {
    /// A column at the given state.
    ///
    /// # Errors
    /// [`ColumnError::Equilibrium`] when a first boiling point cannot be found.
    pub fn new(equilibrium: E, apparatus: Apparatus, state: &[f64]) -> Result<Self, ColumnError> {
        let n = apparatus.stages;
        let rows = rows::<C>(state);
        let (pot_x, pot_moles) = fractions(&rows[0]);
        let mut warm = Vec::with_capacity(n + 2);
        warm.push(equilibrium.warm(&pot_x, apparatus.pressure_pa(0), 360.0)?);
        for j in 1..=n + 1 {
            let guess = warm[j - 1].point.temperature_k;
            warm.push(equilibrium.warm(&rows[j], apparatus.pressure_pa(j), guess)?);
        }
        if let Some(reflux_k) = apparatus.reflux_k {
            warm[n + 1].cp = [equilibrium.heat_capacities(reflux_k), [0.0; C]];
        }
        let pot = Pot { moles: pot_moles, heater_w: 0.0, temperature_slopes: [0.0; C] };
        let nodes = vec![Node::empty(); n + 2];
        Ok(Self {
            remembered: nodes.clone(),
            kept: (nodes.clone(), pot, Flows::sized(n)),
            pot,
            nodes,
            head_k: Cell::new(None),
            flows: Flows::sized(n),
            top_latent_j_mol: 0.0,
            curvature: [[0.0; C]; 2],
            drum_volume: ([0.0; C], 1.0),
            factored: Factored::empty(),
            draw: Draw::Closed,
            heater_w: 0.0,
            equilibrium,
            apparatus,
            warm,
        })
    }

    /// Length of the state vector.
    #[must_use]
    pub fn state_len(&self) -> usize {
        (self.apparatus.stages + 3) * C
    }

    /// The flows of the last evaluation.
    #[must_use]
    pub const fn flows(&self) -> &Flows {
        &self.flows
    }

    /// The nodes of the last evaluation: pot, stages, drum.
    #[must_use]
    pub fn nodes(&self) -> &[Node<C>] {
        &self.nodes
    }

    /// The equilibrium.
    #[must_use]
    pub const fn equilibrium(&self) -> &E {
        &self.equilibrium
    }

    /// Keeps the boiling points of the last evaluation for a linearisation at the same state.
    pub fn remember(&mut self) {
        self.remembered.clone_from(&self.nodes);
    }

    /// What the head thermometer shows after [`Self::evaluate`], K: the dew temperature at the top
    /// pressure of the vapour it meets, which is the top vapour or, below a partial condenser, the
    /// weaker one that enters it.
    ///
    /// Where no single liquid is in equilibrium with that vapour (charges with more fusel alcohol
    /// than their water takes up), the temperature of the top stage stands in.
    ///
    /// # Errors
    /// [`ColumnError::Equilibrium`] when the composition is none.
    pub(crate) fn head_k(&self) -> Result<f64, ColumnError> {
        if let Some(head_k) = self.head_k.get() {
            return Ok(head_k);
        }
        let head_k = self.head_of_nodes_k()?;
        self.head_k.set(Some(head_k));
        Ok(head_k)
    }

    fn head_of_nodes_k(&self) -> Result<f64, ColumnError> {
        let stages = self.apparatus.stages;
        let top = &self.nodes[stages];
        let over = self.apparatus.over_head();
        let same = self.apparatus.pressure_drop_pa == 0.0
            && over == 0.0
            && (stages == 0 || self.apparatus.efficiency == 1.0);
        if same {
            return Ok(top.temperature_k);
        }
        let pressure = self.apparatus.top_pressure_pa;
        let below = &self.nodes[stages.saturating_sub(1)];
        let y = std::array::from_fn(|i| top.y[i] + over * (below.y[i] - top.y[i]));
        match self.equilibrium.dew(&y, pressure, &top.x, top.temperature_k) {
            Ok(temperature_k) => Ok(temperature_k),
            Err(ThermoError::NotConverged { .. }) => Ok(top.temperature_k),
            Err(other) => Err(other.into()),
        }
    }

    /// Computes nodes and flows of a state.
    ///
    /// # Errors
    /// [`ColumnError::Equilibrium`] when a boiling point is not found.
    pub fn evaluate(&mut self, state: &[f64]) -> Result<(), ColumnError> {
        self.head_k.set(None);
        let n = self.apparatus.stages;
        let rows = rows::<C>(state);
        let (pot_x, moles) = fractions(&rows[0]);
        // The pot's slopes enter the flows themselves, so they are taken afresh.
        let (point, temperature_slopes) = self.equilibrium.slopes_near(&pot_x, &self.warm[0])?;
        self.nodes[0].set(&self.warm[0], &pot_x, &point, None);
        for j in 1..=n {
            let below = self.nodes[j - 1].y;
            let mixed = Some((&below, self.apparatus.efficiency));
            self.nodes[j].boil(&self.equilibrium, &self.warm[j], &rows[j], mixed)?;
        }
        self.evaluate_drum(&rows[n + 1])?;
        if self.top_latent_j_mol == 0.0 {
            self.top_latent_j_mol = self.nodes[n].latent.0;
        }
        self.pot = Pot { moles, heater_w: self.heater_w, temperature_slopes };
        self.flows.compute(
            &self.apparatus,
            &self.nodes,
            &self.pot,
            self.draw,
            self.top_latent_j_mol,
        );
        Ok(())
    }

    /// [`Self::evaluate`] at the liquids that the solved points were just renewed at.
    fn evaluate_renewed(&mut self, rows: &[[f64; C]]) {
        self.head_k.set(None);
        let n = self.apparatus.stages;
        let (pot_x, moles) = fractions(&rows[0]);
        self.nodes[0].set(&self.warm[0], &pot_x, &self.warm[0].point, None);
        for j in 1..=n {
            let below = self.nodes[j - 1].y;
            let mixed = Some((&below, self.apparatus.efficiency));
            self.nodes[j].set(&self.warm[j], &rows[j], &self.warm[j].point, mixed);
        }
        if let Some(reflux_k) = self.apparatus.reflux_k {
            self.set_cold_drum(&rows[n + 1], reflux_k);
        } else {
            let warm = &self.warm[n + 1];
            self.nodes[n + 1].set(warm, &rows[n + 1], &warm.point, None);
        }
        self.top_latent_j_mol = self.nodes[n].latent.0;
        let temperature_slopes = self.warm[0].temperature_slopes;
        self.pot = Pot { moles, heater_w: self.heater_w, temperature_slopes };
        self.flows.compute(
            &self.apparatus,
            &self.nodes,
            &self.pot,
            self.draw,
            self.top_latent_j_mol,
        );
    }

    /// A drum whose liquid is cooled to `reflux_k`.
    fn set_cold_drum(&mut self, x: &[f64; C], reflux_k: f64) {
        let drum = self.apparatus.stages + 1;
        let cp = (0..C).map(|i| x[i] * self.warm[drum].cp[0][i]).sum();
        let node = &mut self.nodes[drum];
        node.x = *x;
        node.temperature_k = reflux_k;
        node.cp = (cp, 0.0);
    }

    fn evaluate_drum(&mut self, x: &[f64; C]) -> Result<(), ColumnError> {
        let drum = self.apparatus.stages + 1;
        if let Some(reflux_k) = self.apparatus.reflux_k {
            self.set_cold_drum(x, reflux_k);
            return Ok(());
        }
        self.nodes[drum].boil(&self.equilibrium, &self.warm[drum], x, None)?;
        Ok(())
    }

    /// Writes the derivative of the state of the last evaluation.
    fn write_slope(&self, slope: &mut [f64]) {
        let n = self.apparatus.stages;
        let slope: &mut [[f64; C]] = slope.as_chunks_mut().0;
        let (nodes, v, draw) = (&self.nodes, &self.flows.vapour, self.flows.draw);
        for i in 0..C {
            slope[0][i] = v[0] * (nodes[1].x[i] - nodes[0].y[i]) - draw * nodes[1].x[i];
        }
        let inverse = 1.0 / self.apparatus.stage_mol;
        for j in 1..=n {
            let (below, node, above) = (&nodes[j - 1], &nodes[j], &nodes[j + 1]);
            for i in 0..C {
                let net = v[j] * (above.x[i] - node.y[i])
                    + v[j - 1] * (below.y[i] - node.x[i])
                    + draw * (node.x[i] - above.x[i]);
                slope[j][i] = net * inverse;
            }
        }
        let inverse = 1.0 / self.apparatus.drum_mol;
        for i in 0..C {
            slope[n + 1][i] = v[n] * (nodes[n].y[i] - nodes[n + 1].x[i]) * inverse;
            slope[n + 2][i] = draw * nodes[n + 1].x[i];
        }
    }

    /// Second derivatives of the pot's boiling point along reflux and vapour, by differences from
    /// the slopes at hand.
    fn bend_pot(&mut self) -> Result<(), ColumnError> {
        let x = self.nodes[0].x;
        let here = self.warm[0].temperature_slopes;
        for (place, target) in [self.nodes[1].x, self.nodes[0].y].into_iter().enumerate() {
            let at = std::array::from_fn(|i| x[i] + CURVATURE_STEP * (target[i] - x[i]));
            let (_, there) = self.equilibrium.slopes_near(&at, &self.warm[0])?;
            self.curvature[place] = std::array::from_fn(|i| (there[i] - here[i]) / CURVATURE_STEP);
        }
        Ok(())
    }
}

impl<const C: usize, E: Equilibrium<C>> StiffSystem for Column<C, E> {
    type Error = ColumnError;

    fn linearise(&mut self, state: &[f64], slope: &mut [f64]) -> Result<(), ColumnError> {
        let n = self.apparatus.stages;
        let rows = rows::<C>(state);
        let (pot_x, _) = fractions(&rows[0]);
        for (j, warm) in self.warm.iter_mut().enumerate() {
            if j > n && self.apparatus.reflux_k.is_some() {
                continue;
            }
            let x = if j == 0 { &pot_x } else { &rows[j] };
            match self.remembered[j].solved(x) {
                Some(point) => self.equilibrium.renew_at(warm, x, point)?,
                None => self.equilibrium.renew(warm, x)?,
            }
        }
        self.evaluate_renewed(rows);
        self.write_slope(slope);
        self.kept.0.clone_from(&self.nodes);
        self.kept.1 = self.pot;
        self.kept.2.clone_from(&self.flows);
        if self.apparatus.constant_overflow_mol_s.is_none() {
            self.bend_pot()?;
        }
        let drum = &self.nodes[n + 1].x;
        let (volume, by_ethanol, by_water) = kernel::litres_20c_gradient(drum[1], drum[0]);
        let mut gradient = [0.0; C];
        gradient[0] = by_water;
        gradient[1] = by_ethanol;
        self.drum_volume = (gradient, volume);
        Ok(())
    }

    fn factor(&mut self, diagonal: f64) -> Result<(), ColumnError> {
        let linearisation = Linearisation {
            apparatus: &self.apparatus,
            nodes: &self.kept.0,
            pot: &self.kept.1,
            flows: &self.kept.2,
            warm: &self.warm,
            curvature: self.curvature,
            draw: self.draw,
            drum_volume: self.drum_volume,
        };
        linearisation
            .factor(diagonal, &mut self.factored)
            .map_err(|singular| ColumnError::Singular(singular.column))
    }

    fn derivative(&mut self, state: &[f64], slope: &mut [f64]) -> Result<(), ColumnError> {
        self.evaluate(state)?;
        self.write_slope(slope);
        Ok(())
    }

    fn solve(&mut self, right: &mut [f64]) {
        self.factored.solve(right.as_chunks_mut().0);
    }
}
