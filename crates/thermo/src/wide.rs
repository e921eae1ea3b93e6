//! The hot loops as tasks that run with the widest vectors of the machine at hand.
//!
//! Nothing in them is fused or reordered: every machine gives the same bits.

use pulp::NullaryFnOnce;

use crate::activity::Matrices;
use crate::bubble::BubblePoint;
use crate::mixture::Mixture;
use crate::warm::{LineSlopes, Warm, expanded};

/// [`Mixture::chords`] as a task for the widest vectors (a plain closure would not be compiled
/// for them).
pub(crate) struct Chords<'a, const C: usize> {
    pub(crate) mixture: &'a Mixture<C>,
    pub(crate) x: &'a [f64; C],
    pub(crate) warm: &'a Warm<C>,
}

impl<const C: usize> NullaryFnOnce for Chords<'_, C> {
    type Output = Option<BubblePoint<C>>;

    #[inline(always)]
    fn call(self) -> Self::Output {
        self.mixture.chords(self.x, self.warm)
    }
}

/// The slopes at a solved point, likewise.
pub(crate) struct SlopesAt<'a, const C: usize> {
    pub(crate) mixture: &'a Mixture<C>,
    pub(crate) matrices: &'a Matrices<C>,
    pub(crate) x: &'a [f64; C],
    pub(crate) point: &'a BubblePoint<C>,
    pub(crate) ln_pressure: f64,
}

impl<const C: usize> NullaryFnOnce for SlopesAt<'_, C> {
    type Output = LineSlopes<C>;

    #[inline(always)]
    fn call(self) -> Self::Output {
        self.mixture.line_slopes(self.matrices, self.x, self.point, self.ln_pressure)
    }
}

/// The slopes near a solved point, likewise.
pub(crate) struct SlopesNear<'a, const C: usize> {
    pub(crate) mixture: &'a Mixture<C>,
    pub(crate) x: &'a [f64; C],
    pub(crate) warm: &'a Warm<C>,
    pub(crate) point: &'a BubblePoint<C>,
}

impl<const C: usize> NullaryFnOnce for SlopesNear<'_, C> {
    type Output = LineSlopes<C>;

    #[inline(always)]
    fn call(self) -> Self::Output {
        let matrices = expanded(self.mixture, self.warm, self.point.temperature_k);
        self.mixture.line_slopes(&matrices, self.x, self.point, self.warm.ln_pressure)
    }
}
