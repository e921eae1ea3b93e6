//! Where in the packed height the thermometer in the column sits.

use super::Still;

/// Where it is taken to sit where nobody says: as its name has it (judgement).
pub(super) const MID_COLUMN: f64 = 0.5;

impl Still {
    /// Share of the packed height, from its foot, at which the thermometer in the column sits, and
    /// whether that is stated; half-way up where it is not.
    #[must_use]
    pub fn column_probe(&self) -> (f64, bool) {
        (self.column_probe_fraction.unwrap_or(MID_COLUMN), self.column_probe_fraction.is_some())
    }
}
