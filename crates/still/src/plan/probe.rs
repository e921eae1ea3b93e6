//! Where the thermometers sit: of the head, and in the packed height of a column.

use serde::{Deserialize, Serialize};

use super::Still;

/// Where it is taken to sit where nobody says: as its name has it (judgement).
pub(super) const MID_COLUMN: f64 = 0.5;

/// Where the head thermometer sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HeadPlace {
    /// In the vapour that becomes the spirit: above a partial condenser, or where there is none.
    #[default]
    Above,
    /// Below a partial condenser, in the vapour that enters it.
    Below,
}

impl HeadPlace {
    /// Whether a file may leave the key out.
    #[expect(clippy::trivially_copy_pass_by_ref, reason = "serde asks with a reference")]
    pub(super) const fn is_usual(&self) -> bool {
        matches!(self, Self::Above)
    }
}

impl Still {
    /// Share of the packed height, from its foot, at which the thermometer in the column sits, and
    /// whether that is stated; half-way up where it is not.
    #[must_use]
    pub fn column_probe(&self) -> (f64, bool) {
        (self.column_probe_fraction.unwrap_or(MID_COLUMN), self.column_probe_fraction.is_some())
    }
}
