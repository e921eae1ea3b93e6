//! Where a driven still stands between cold and boiling.

/// Phase of a driven still.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Phase {
    /// The charge warms; the column has nothing.
    Heating,
    /// The charge boils; this much heat has gone into column metal and filling, J.
    Filling {
        /// Heat taken up so far, J.
        taken_j: f64,
    },
    /// The column runs.
    Running,
    /// The column is full but no vapour rises.
    Resting,
}
