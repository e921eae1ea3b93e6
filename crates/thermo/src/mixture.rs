//! A mixture of up to `C` substances with its coefficients laid out for fast loops.
//!
//! Places beyond the substances given are filled with inert copies of ethanol whose mole
//! fractions stay zero, so that a few sizes of `C` serve every charge.

use crate::component::Component;
use crate::error::ThermoError;
use crate::pure::{PureSubstance, wagner};
use crate::reference::{Pair, VapourPressure, tables};

/// A mixture; vectors and matrices follow the order of [`Mixture::components`].
#[derive(Debug, Clone)]
pub struct Mixture<const C: usize> {
    components: Vec<Component>,
    pub(crate) pure: [PureSubstance; C],
    /// `tau_ij = a_ij + b_ij / T`.
    pub(crate) tau_a: [[f64; C]; C],
    pub(crate) tau_b_k: [[f64; C]; C],
    pub(crate) alpha: [[f64; C]; C],
    /// Wagner coefficients by column (inert where `antoine` is given).
    pub(crate) wagner: WagnerColumns<C>,
    /// Substances that use Antoine's equation instead: position, A, B, C.
    pub(crate) antoine: Vec<(usize, [f64; 3])>,
}

/// Wagner coefficients of all substances, column by column.
#[derive(Debug, Clone)]
pub(crate) struct WagnerColumns<const C: usize> {
    pub(crate) tc_k: [f64; C],
    pub(crate) ln_pc: [f64; C],
    pub(crate) abcd: [[f64; C]; 4],
}

impl<const C: usize> Mixture<C> {
    /// The mixture of these substances.
    ///
    /// # Errors
    /// [`ThermoError::TooMany`] when there are more than `C`.
    pub fn new(components: &[Component]) -> Result<Self, ThermoError> {
        if components.is_empty() || components.len() > C {
            return Err(ThermoError::TooMany { given: components.len(), room: C });
        }
        let at = |place: usize| components.get(place).copied().unwrap_or(Component::Ethanol);
        let pure = std::array::from_fn(|i| PureSubstance::of(at(i)));
        let pair = |i: usize, j: usize| {
            let real = i.max(j) < components.len();
            if real { tables().pairs[at(i).index()][at(j).index()] } else { Pair::default() }
        };
        Ok(Self {
            components: components.to_vec(),
            tau_a: std::array::from_fn(|i| std::array::from_fn(|j| pair(i, j).a)),
            tau_b_k: std::array::from_fn(|i| std::array::from_fn(|j| pair(i, j).b_k)),
            alpha: std::array::from_fn(|i| std::array::from_fn(|j| pair(i, j).alpha)),
            wagner: WagnerColumns::new(&pure),
            antoine: antoine_places(&pure),
            pure,
        })
    }

    /// The substances, in order.
    #[must_use]
    pub fn components(&self) -> &[Component] {
        &self.components
    }

    /// The pure substance at a place.
    #[must_use]
    pub const fn pure(&self, place: usize) -> &PureSubstance {
        &self.pure[place]
    }

    /// ln of every vapour pressure in Pa.
    #[inline(always)]
    #[must_use]
    pub fn ln_vapour_pressures(&self, temperature_k: f64) -> [f64; C] {
        let mut ln_p = [0.0; C];
        for i in 0..C {
            ln_p[i] = self.wagner.ln_pc[i] + self.wagner.reduced(i, temperature_k).0;
        }
        for &(place, [a, b_k, c_k]) in &self.antoine {
            ln_p[place] = a + b_k / (temperature_k + c_k);
        }
        ln_p
    }

    /// Derivatives of [`Self::ln_vapour_pressures`] by temperature, 1/K.
    #[inline(always)]
    #[must_use]
    pub fn ln_vapour_pressure_slopes(&self, temperature_k: f64) -> [f64; C] {
        let mut slopes = [0.0; C];
        for i in 0..C {
            slopes[i] = self.wagner.reduced(i, temperature_k).1;
        }
        for &(place, [_, b_k, c_k]) in &self.antoine {
            let shifted = temperature_k + c_k;
            slopes[place] = -b_k / (shifted * shifted);
        }
        slopes
    }
}

impl<const C: usize> WagnerColumns<C> {
    /// ln(p / pc) of one substance and its derivative by temperature.
    #[inline(always)]
    fn reduced(&self, i: usize, temperature_k: f64) -> (f64, f64) {
        let abcd = [self.abcd[0][i], self.abcd[1][i], self.abcd[2][i], self.abcd[3][i]];
        wagner(self.tc_k[i], abcd, temperature_k)
    }

    fn new(pure: &[PureSubstance; C]) -> Self {
        // Antoine substances get harmless numbers here and are overwritten after the loop.
        let row = |i: usize| match pure[i].coefficients.vapour_pressure {
            VapourPressure::Wagner { tc_k, pc_pa, abcd } => (tc_k, pc_pa.ln(), abcd),
            VapourPressure::Antoine { .. } => (1000.0, 0.0, [0.0; 4]),
        };
        Self {
            tc_k: std::array::from_fn(|i| row(i).0),
            ln_pc: std::array::from_fn(|i| row(i).1),
            abcd: std::array::from_fn(|k| std::array::from_fn(|i| row(i).2[k])),
        }
    }
}

fn antoine_places<const C: usize>(pure: &[PureSubstance; C]) -> Vec<(usize, [f64; 3])> {
    let found = pure.iter().enumerate().filter_map(|(place, substance)| {
        match substance.coefficients.vapour_pressure {
            VapourPressure::Antoine { a, b_k, c_k } => Some((place, [a, b_k, c_k])),
            VapourPressure::Wagner { .. } => None,
        }
    });
    found.collect()
}
