//! Activity coefficients by the NRTL equation, with exact derivatives.
//!
//! `S_j = sum_k x_k G_kj`, `C_j = (sum_k x_k tau_kj G_kj) / S_j`,
//! `ln g_i = C_i + sum_j x_j (G_ij / S_j) (tau_ij - C_j)` (Renon and Prausnitz 1968).

use crate::mixture::Mixture;

/// Partial sums of a dot product: a fixed order, whatever the machine's vectors.
const LANES: usize = 4;

/// The two NRTL matrices at one temperature.
#[derive(Debug, Clone)]
pub(crate) struct Matrices<const C: usize> {
    /// `G_ij = exp(-alpha_ij tau_ij)`.
    pub(crate) g: [[f64; C]; C],
    /// `tau_ij G_ij`.
    pub(crate) tau_g: [[f64; C]; C],
}

/// `ln gamma` and its derivatives at one liquid.
#[derive(Debug, Clone)]
pub struct ActivitySlopes<const C: usize> {
    /// ln of each activity coefficient.
    pub ln_gamma: [f64; C],
    /// `d ln gamma_i / d x_k` at constant temperature, mole fractions taken as independent.
    pub by_fraction: [[f64; C]; C],
    /// `d ln gamma_i / d T`, 1/K.
    pub by_temperature: [f64; C],
}

impl<const C: usize> Mixture<C> {
    pub(crate) fn matrices(&self, temperature_k: f64) -> Matrices<C> {
        let mut matrices = Matrices { g: [[0.0; C]; C], tau_g: [[0.0; C]; C] };
        for i in 0..C {
            for j in 0..C {
                let tau = self.tau_a[i][j] + self.tau_b_k[i][j] / temperature_k;
                let g = if i == j { 1.0 } else { (-self.alpha[i][j] * tau).exp() };
                matrices.g[i][j] = g;
                matrices.tau_g[i][j] = tau * g;
            }
        }
        matrices
    }

    /// ln of every activity coefficient of liquid `x`.
    #[must_use]
    pub fn ln_gamma(&self, x: &[f64; C], temperature_k: f64) -> [f64; C] {
        ln_gamma(&self.matrices(temperature_k), x)
    }

    /// ln of every activity coefficient of liquid `x`, with derivatives.
    #[must_use]
    pub fn activity_slopes(&self, x: &[f64; C], temperature_k: f64) -> ActivitySlopes<C> {
        self.slopes_from(&self.matrices(temperature_k), x, temperature_k)
    }

    #[inline(always)]
    pub(crate) fn slopes_from(
        &self,
        matrices: &Matrices<C>,
        x: &[f64; C],
        temperature_k: f64,
    ) -> ActivitySlopes<C> {
        let columns = Columns::of(matrices, x);
        // Transposed, so that the inner loops run along columns: M_ij = G_ij / S_j and
        // E_ij = M_ij (tau_ij - C_j), kept as m[j][i] and e[j][i].
        let mut m = [[0.0; C]; C];
        let mut e = [[0.0; C]; C];
        let mut ln_gamma = columns.c;
        for j in 0..C {
            for i in 0..C {
                m[j][i] = matrices.g[i][j] * columns.inverse_s[j];
                e[j][i] = matrices.tau_g[i][j] * columns.inverse_s[j] - m[j][i] * columns.c[j];
                ln_gamma[i] += x[j] * e[j][i];
            }
        }
        ActivitySlopes {
            ln_gamma,
            by_fraction: by_fraction(&m, &e, x),
            by_temperature: self.by_temperature(matrices, &columns, x, temperature_k),
        }
    }

    #[inline(always)]
    fn by_temperature(
        &self,
        matrices: &Matrices<C>,
        columns: &Columns<C>,
        x: &[f64; C],
        temperature_k: f64,
    ) -> [f64; C] {
        let square = temperature_k * temperature_k;
        // tau' = -b / T^2, G' = -alpha tau' G, (tau G)' = tau' G + tau G'.
        let mut g_slope = [[0.0; C]; C];
        let mut tau_g_slope = [[0.0; C]; C];
        let mut s_slope = [0.0; C];
        let mut n_slope = [0.0; C];
        for k in 0..C {
            for j in 0..C {
                let tau_slope = -self.tau_b_k[k][j] / square;
                let log_slope = -self.alpha[k][j] * tau_slope;
                g_slope[k][j] = log_slope * matrices.g[k][j];
                tau_g_slope[k][j] = tau_slope * matrices.g[k][j] + log_slope * matrices.tau_g[k][j];
                s_slope[j] += x[k] * g_slope[k][j];
                n_slope[j] += x[k] * tau_g_slope[k][j];
            }
        }
        let c_slope: [f64; C] = std::array::from_fn(|j| {
            (n_slope[j] - columns.c[j] * s_slope[j]) * columns.inverse_s[j]
        });
        std::array::from_fn(|i| {
            let mut sum = c_slope[i];
            for j in 0..C {
                let e = matrices.tau_g[i][j] - columns.c[j] * matrices.g[i][j];
                let e_slope = tau_g_slope[i][j]
                    - c_slope[j] * matrices.g[i][j]
                    - columns.c[j] * g_slope[i][j];
                sum +=
                    x[j] * columns.inverse_s[j] * (e_slope - e * s_slope[j] * columns.inverse_s[j]);
            }
            sum
        })
    }
}

/// `1 / S_j` and `C_j`.
struct Columns<const C: usize> {
    inverse_s: [f64; C],
    c: [f64; C],
}

impl<const C: usize> Columns<C> {
    #[inline(always)]
    fn of(matrices: &Matrices<C>, x: &[f64; C]) -> Self {
        let mut s = [0.0; C];
        let mut n = [0.0; C];
        for k in 0..C {
            for j in 0..C {
                s[j] += x[k] * matrices.g[k][j];
                n[j] += x[k] * matrices.tau_g[k][j];
            }
        }
        let inverse_s = s.map(|s| 1.0 / s);
        Self { inverse_s, c: std::array::from_fn(|j| n[j] * inverse_s[j]) }
    }
}

/// ln of every activity coefficient from matrices at hand.
#[inline(always)]
pub(crate) fn ln_gamma<const C: usize>(matrices: &Matrices<C>, x: &[f64; C]) -> [f64; C] {
    let columns = Columns::of(matrices, x);
    let mut weight = [0.0; C];
    let mut weight_c = [0.0; C];
    for j in 0..C {
        weight[j] = x[j] * columns.inverse_s[j];
        weight_c[j] = weight[j] * columns.c[j];
    }
    let mut ln_gamma = columns.c;
    for i in 0..C {
        let mut lanes = [0.0; LANES];
        for j in 0..C {
            lanes[j % LANES] += matrices.tau_g[i][j] * weight[j] - matrices.g[i][j] * weight_c[j];
        }
        ln_gamma[i] += (lanes[0] + lanes[1]) + (lanes[2] + lanes[3]);
    }
    ln_gamma
}

/// `d ln gamma_i / d x_k = E_ki + E_ik - sum_j x_j (E_ij M_kj + M_ij E_kj)`: symmetric. Both
/// matrices come transposed.
#[inline(always)]
fn by_fraction<const C: usize>(
    m: &[[f64; C]; C],
    e: &[[f64; C]; C],
    x: &[f64; C],
) -> [[f64; C]; C] {
    let mut slopes = [[0.0; C]; C];
    for i in 0..C {
        let mut row = e[i];
        for k in 0..C {
            row[k] += e[k][i];
        }
        for j in 0..C {
            let (from_e, from_m) = (x[j] * e[j][i], x[j] * m[j][i]);
            for k in 0..C {
                row[k] -= from_e * m[j][k] + from_m * e[j][k];
            }
        }
        slopes[i] = row;
    }
    slopes
}
