//! Products of the short rows and small blocks the sweep is made of.

use super::{Block, Row};

pub(super) fn dot<const C: usize>(a: &Row<C>, b: &Row<C>) -> f64 {
    let mut lanes = [0.0; 2];
    for i in 0..C {
        lanes[i % 2] += a[i] * b[i];
    }
    lanes[0] + lanes[1]
}

/// `row . block`.
pub(super) fn through<const C: usize>(row: &Row<C>, block: &Block<C>) -> Row<C> {
    let mut out = [0.0; C];
    for k in 0..C {
        for i in 0..C {
            out[i] += row[k] * block[k][i];
        }
    }
    out
}

pub(super) fn product<const C: usize>(a: &Block<C>, b: &Block<C>) -> Block<C> {
    let mut out = [[0.0; C]; C];
    for i in 0..C {
        out[i] = through(&a[i], b);
    }
    out
}

pub(super) fn difference<const C: usize>(a: &Row<C>, b: &Row<C>) -> Row<C> {
    std::array::from_fn(|i| a[i] - b[i])
}
