//! Small dense linear systems by elimination with row exchange.

/// A matrix without an inverse.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Singular {
    /// Column in which no pivot was found.
    pub column: usize,
}

/// Solves `matrix z = right` in place for a row-major square matrix; `right` becomes `z`.
///
/// # Errors
/// [`Singular`] when a pivot is zero or not finite.
pub fn solve_dense(matrix: &mut [f64], right: &mut [f64]) -> Result<(), Singular> {
    let n = right.len();
    for column in 0..n {
        let pivot = (column..n)
            .max_by(|&a, &b| matrix[a * n + column].abs().total_cmp(&matrix[b * n + column].abs()))
            .ok_or(Singular { column })?;
        let value = matrix[pivot * n + column];
        if value == 0.0 || !value.is_finite() {
            return Err(Singular { column });
        }
        if pivot != column {
            for k in 0..n {
                matrix.swap(column * n + k, pivot * n + k);
            }
            right.swap(column, pivot);
        }
        for row in column + 1..n {
            let factor = matrix[row * n + column] / value;
            if factor != 0.0 {
                for k in column..n {
                    matrix[row * n + k] -= factor * matrix[column * n + k];
                }
                right[row] -= factor * right[column];
            }
        }
    }
    for row in (0..n).rev() {
        let mut sum = right[row];
        for k in row + 1..n {
            sum -= matrix[row * n + k] * right[k];
        }
        right[row] = sum / matrix[row * n + row];
    }
    Ok(())
}

/// The factors of a small matrix of fixed size.
#[derive(Debug, Clone)]
pub struct Lu<const C: usize> {
    factors: [[f64; C]; C],
    inverse_pivots: [f64; C],
    exchanges: [usize; C],
}

impl<const C: usize> Default for Lu<C> {
    fn default() -> Self {
        Self {
            factors: [[0.0; C]; C],
            inverse_pivots: [1.0; C],
            exchanges: std::array::from_fn(|i| i),
        }
    }
}

impl<const C: usize> Lu<C> {
    /// Factors `matrix`.
    ///
    /// # Errors
    /// [`Singular`] when a pivot is zero or not finite.
    pub fn factor(matrix: [[f64; C]; C]) -> Result<Self, Singular> {
        let mut lu = Self { factors: matrix, ..Self::default() };
        let a = &mut lu.factors;
        for column in 0..C {
            let mut pivot = column;
            for row in column + 1..C {
                if a[row][column].abs() > a[pivot][column].abs() {
                    pivot = row;
                }
            }
            let value = a[pivot][column];
            if value == 0.0 || !value.is_finite() {
                return Err(Singular { column });
            }
            a.swap(column, pivot);
            lu.exchanges[column] = pivot;
            let inverse = 1.0 / value;
            lu.inverse_pivots[column] = inverse;
            let top = a[column];
            for line in a.iter_mut().skip(column + 1) {
                let factor = line[column] * inverse;
                line[column] = factor;
                for k in column + 1..C {
                    line[k] -= factor * top[k];
                }
            }
        }
        Ok(lu)
    }

    /// Solves for one right-hand side, in place.
    #[inline]
    pub fn solve(&self, right: &mut [f64; C]) {
        for column in 0..C {
            right.swap(column, self.exchanges[column]);
        }
        for row in 1..C {
            let mut sum = right[row];
            for k in 0..row {
                sum -= self.factors[row][k] * right[k];
            }
            right[row] = sum;
        }
        for row in (0..C).rev() {
            let mut sum = right[row];
            for k in row + 1..C {
                sum -= self.factors[row][k] * right[k];
            }
            right[row] = sum * self.inverse_pivots[row];
        }
    }

    /// Solves for every column of `right`, in place (rows are rows).
    #[inline]
    pub fn solve_columns(&self, right: &mut [[f64; C]; C]) {
        for column in 0..C {
            right.swap(column, self.exchanges[column]);
        }
        for row in 1..C {
            let mut line = right[row];
            for k in 0..row {
                let factor = self.factors[row][k];
                for c in 0..C {
                    line[c] -= factor * right[k][c];
                }
            }
            right[row] = line;
        }
        for row in (0..C).rev() {
            let mut line = right[row];
            for k in row + 1..C {
                let factor = self.factors[row][k];
                for c in 0..C {
                    line[c] -= factor * right[k][c];
                }
            }
            right[row] = line.map(|value| value * self.inverse_pivots[row]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Lu, solve_dense};

    /// The Hilbert matrix of order 4 times (1, 1, 1, 1): exact sums, condition number 1.6e4.
    #[test]
    fn prop_hilbert_matrix_of_order_four() {
        let entry = |i: usize, j: usize| 1.0 / (i + j + 1) as f64;
        let matrix: [[f64; 4]; 4] = std::array::from_fn(|i| std::array::from_fn(|j| entry(i, j)));
        let mut right: [f64; 4] = std::array::from_fn(|i| (0..4).map(|j| entry(i, j)).sum());
        let mut dense: Vec<f64> = matrix.iter().flatten().copied().collect();
        let mut dense_right = right.to_vec();
        solve_dense(&mut dense, &mut dense_right).unwrap();
        let lu = Lu::factor(matrix).unwrap();
        lu.solve(&mut right);
        let mut identity = matrix;
        lu.solve_columns(&mut identity);
        for i in 0..4 {
            // condition number times the last bit
            assert!((right[i] - 1.0).abs() < 1e-11);
            assert!((dense_right[i] - 1.0).abs() < 1e-11);
            for j in 0..4 {
                assert!((identity[i][j] - f64::from(u8::from(i == j))).abs() < 1e-11);
            }
        }
    }

    #[test]
    fn a_matrix_without_inverse_is_refused() {
        assert!(Lu::factor([[1.0, 2.0], [2.0, 4.0]]).is_err());
        assert!(solve_dense(&mut [0.0, 1.0, 0.0, 1.0], &mut [1.0, 1.0]).is_err());
    }
}
