//! How much a run folder may hold.

/// Most bytes of one record of a table, and of a small file.
pub const LINE_BYTES_MAX: usize = 1_000_000;
/// Most rows of one table.
pub const ROWS_MAX: usize = 2_000_000;
