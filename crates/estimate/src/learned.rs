//! What runs taught whose end is known; written by `cargo xtask calibrate`.
//!
//! Distance of the ends of 80 % and 95 % bands from the middle over that of the draws: of
//! the end, of the litres. From 42 stills of `recordings` and 102 stills of `validation`.

/// Columns: of 600 forecasts the bands of stills left out hold the end in 0.802 and 0.952, the
/// litres in 0.802 and 0.953.
pub(super) const COLUMN: [[f64; 2]; 2] = [[1.03, 1.09], [1.0, 1.3]];

/// Pots: of 300 forecasts the bands of stills left out hold the end in 0.807 and 0.967, the
/// litres in 0.813 and 0.947.
pub(super) const POT: [[f64; 2]; 2] = [[0.91, 1.0], [0.94, 1.25]];
