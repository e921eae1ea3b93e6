//! What runs taught whose end is known; written by `cargo xtask calibrate`.
//!
//! What is left over what the draws have of it, then the distance of the ends of 80 % and
//! of 95 % bands from the middle over theirs: of the end, of the litres.
//!
//! From 42 stills of `recordings` and 102 stills of `validation`.

/// Columns with a wash: of 300 forecasts the bands of stills left out hold the end in
/// 0.793 and 0.950, the litres in 0.793 and 0.950.
pub(super) const WASH: [[f64; 3]; 2] = [[0.96, 0.97, 1.1], [1.0, 1.07, 1.15]];

/// Columns with low wines: of 300 forecasts the bands of stills left out hold the end in
/// 0.793 and 0.950, the litres in 0.783 and 0.950.
pub(super) const LOW_WINES: [[f64; 3]; 2] = [[0.99, 1.06, 1.1], [1.0, 0.89, 1.44]];

/// Pots: of 300 forecasts the bands of stills left out hold the end in
/// 0.790 and 0.970, the litres in 0.787 and 0.933.
pub(super) const POT: [[f64; 3]; 2] = [[0.98, 0.9, 1.0], [0.99, 0.88, 1.16]];
