//! One boiling node: a liquid, its temperature and vapour, its heats, near a solved point.

use thermo::{BubblePoint, ThermoError, Warm};

use crate::equilibrium::Equilibrium;

/// The state of a node as the flow equations use it.
#[derive(Debug, Clone, Copy)]
pub struct Node<const C: usize> {
    /// Liquid, mole fractions.
    pub x: [f64; C],
    /// Temperature, K.
    pub temperature_k: f64,
    /// Vapour in equilibrium with the liquid.
    pub y_star: [f64; C],
    /// Vapour that leaves.
    pub y: [f64; C],
    /// Latent heat of the leaving vapour, J/mol, and its slope by temperature.
    pub latent: (f64, f64),
    /// Heat capacity of the liquid, J/(mol K), and its slope by temperature.
    pub cp: (f64, f64),
}

impl<const C: usize> Node<C> {
    /// An empty node.
    pub(super) const fn empty() -> Self {
        Self {
            x: [0.0; C],
            temperature_k: 0.0,
            y_star: [0.0; C],
            y: [0.0; C],
            latent: (0.0, 0.0),
            cp: (0.0, 0.0),
        }
    }

    /// Boils liquid `x` near `warm`; the leaving vapour mixes in what comes from `below`
    /// (Murphree: `y = below + efficiency (y* - below)`).
    #[inline]
    pub(super) fn boil<E: Equilibrium<C>>(
        &mut self,
        equilibrium: &E,
        warm: &Warm<C>,
        x: &[f64; C],
        below: Option<(&[f64; C], f64)>,
    ) -> Result<(), ThermoError> {
        self.set(warm, x, &equilibrium.near(x, warm)?, below);
        Ok(())
    }

    /// The bubble point of liquid `x`, if this node holds just that.
    #[inline]
    pub(super) fn solved(&self, x: &[f64; C]) -> Option<BubblePoint<C>> {
        (self.x == *x).then_some(BubblePoint { temperature_k: self.temperature_k, y: self.y_star })
    }

    /// Takes a solved point of liquid `x` near `warm`.
    #[inline]
    pub(super) fn set(
        &mut self,
        warm: &Warm<C>,
        x: &[f64; C],
        point: &BubblePoint<C>,
        below: Option<(&[f64; C], f64)>,
    ) {
        self.x = *x;
        self.temperature_k = point.temperature_k;
        self.y_star = point.y;
        self.y = point.y;
        if let Some((below, efficiency)) = below {
            for i in 0..C {
                self.y[i] = below[i] + efficiency * (point.y[i] - below[i]);
            }
        }
        self.latent = warm.latent_heat(&self.y, point.temperature_k);
        self.cp = warm.heat_capacity(x, point.temperature_k);
    }
}
