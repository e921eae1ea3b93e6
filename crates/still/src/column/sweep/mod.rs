//! The exact Jacobian of the column, factored and solved node by node.
//!
//! Eliminating from the pot upwards, everything that crosses an interface (the composition of the
//! vapour, its flow, its heat) is an affine function of the liquid above it. That keeps the
//! blocks as small as one composition although vapour that passes a stage unchanged and the heat
//! balance couple every stage to all below it. The take-off couples all of them once more: a
//! border of one column, solved along once a factorisation.

mod eliminate;
mod rows;
mod solve;

use numerics::linear::Lu;
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
