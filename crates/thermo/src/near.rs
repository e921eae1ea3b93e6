//! Bubble points near one already known.
//!
//! A still asks for the bubble points of the same stages ten thousand times, each time a little
//! way off. Everything dear (exponentials of pairs, slopes) is kept from the last full solution.

use pulp::Arch;

use crate::bubble::BubblePoint;
use crate::error::ThermoError;
use crate::mixture::Mixture;
use crate::warm::Warm;
use crate::wide::{Chords, LineSlopes, SlopesAt, SlopesNear};

/// Farthest a renewed point may move from the matrices and latent heats it keeps, K: of the latent
/// heats' expansion the third order is left out, some 2e-9 of them by Watson's rule.
const KEEP_MATRICES_K: f64 = 0.5;

impl<const C: usize> Mixture<C> {
    /// Solves the bubble point of `x` in full and keeps its slopes.
    ///
    /// # Errors
    /// As [`Mixture::bubble_point`].
    pub fn warm(
        &self,
        x: &[f64; C],
        pressure_pa: f64,
        guess_k: f64,
    ) -> Result<Warm<C>, ThermoError> {
        let point = self.bubble_point_from(x, pressure_pa, guess_k)?;
        let matrices = self.matrices(point.temperature_k);
        let slopes = Arch::new().dispatch(SlopesAt {
            mixture: self,
            matrices: &matrices,
            x,
            point: &point,
            ln_pressure: pressure_pa.ln(),
        });
        let mut warm = Warm::without_activity(*x, pressure_pa, point, [[0.0; C]; C], 0.0, 0.0);
        warm.matrices = matrices;
        warm.kept_latent = self.latent_columns(point.temperature_k);
        self.keep(&mut warm, x, point, &slopes);
        Ok(warm)
    }

    /// Renews `warm` at a liquid near its own.
    ///
    /// # Errors
    /// As [`Mixture::bubble_point`].
    pub fn renew(&self, warm: &mut Warm<C>, x: &[f64; C]) -> Result<(), ThermoError> {
        let point = self.bubble_point_near(x, warm)?;
        self.renew_at(warm, x, point);
        Ok(())
    }

    /// Keeps the slopes of a bubble point that was solved near `warm`, in its place.
    pub fn renew_at(&self, warm: &mut Warm<C>, x: &[f64; C], point: BubblePoint<C>) {
        if (point.temperature_k - warm.matrices_k).abs() > KEEP_MATRICES_K {
            warm.matrices = self.matrices(point.temperature_k);
            warm.matrices_k = point.temperature_k;
            warm.kept_latent = self.latent_columns(point.temperature_k);
        }
        let slopes = Arch::new().dispatch(SlopesNear { mixture: self, x, warm, point: &point });
        self.keep(warm, x, point, &slopes);
    }

    /// Writes a solved point and its slopes into `warm`, whose matrices and latent heats are near it.
    fn keep(
        &self,
        warm: &mut Warm<C>,
        x: &[f64; C],
        point: BubblePoint<C>,
        slopes: &LineSlopes<C>,
    ) {
        warm.x = *x;
        warm.point = point;
        warm.temperature_slopes = slopes.temperature;
        for i in 0..C {
            for k in 0..C {
                warm.vapour_slopes[i][k] = point.y[i]
                    * (slopes.by_fraction[i][k] + slopes.k_slopes[i] * slopes.temperature[k]);
            }
            warm.vapour_slopes[i][i] += slopes.k_values[i];
        }
        warm.latent = warm.latent_by_kept(point.temperature_k);
        warm.cp = self.cp_columns(point.temperature_k);
        warm.ln_k = slopes.ln_k;
        warm.k_values = slopes.k_values;
        warm.k_slopes = slopes.k_slopes;
        warm.sum_slope = slopes.sum_slope;
    }

    /// Boiling-point slopes by mole fraction at a liquid near `warm`, and its bubble point.
    ///
    /// # Errors
    /// As [`Mixture::bubble_point`].
    pub fn slopes_near(
        &self,
        x: &[f64; C],
        warm: &Warm<C>,
    ) -> Result<(BubblePoint<C>, [f64; C]), ThermoError> {
        let point = self.bubble_point_near(x, warm)?;
        let slopes = Arch::new().dispatch(SlopesNear { mixture: self, x, warm, point: &point });
        Ok((point, slopes.temperature))
    }

    fn latent_columns(&self, temperature_k: f64) -> [[f64; C]; 3] {
        let mut columns = [[0.0; C]; 3];
        for i in 0..C {
            let values = self.pure[i].latent_heat(temperature_k);
            for (column, value) in columns.iter_mut().zip(values) {
                column[i] = value;
            }
        }
        columns
    }

    fn cp_columns(&self, temperature_k: f64) -> [[f64; C]; 2] {
        let d = temperature_k - crate::pure::REFERENCE_K;
        let c = |i: usize| self.pure[i].coefficients.cp_liquid;
        [
            std::array::from_fn(|i| c(i)[0] + d * (c(i)[1] + d * c(i)[2])),
            std::array::from_fn(|i| c(i)[1] + 2.0 * d * c(i)[2]),
        ]
    }

    /// The bubble point of `x`, started from a solved one near it.
    ///
    /// # Errors
    /// As [`Mixture::bubble_point`].
    #[inline]
    pub fn bubble_point_near(
        &self,
        x: &[f64; C],
        warm: &Warm<C>,
    ) -> Result<BubblePoint<C>, ThermoError> {
        // The widest vectors of this machine; no operation is fused or reordered, so that every
        // machine gives the same bits.
        match Arch::new().dispatch(Chords { mixture: self, x, warm }) {
            Some(point) => Ok(point),
            None => self.bubble_point_from(x, warm.pressure_pa, warm.point.temperature_k),
        }
    }
}
