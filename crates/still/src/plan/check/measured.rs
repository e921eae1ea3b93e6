//! Checks what a person measured at a still of their own.

use super::super::{Filling, Measured};
use super::refuse::{PlanError, range, within_if_given};

impl Measured {
    /// Checks what was measured.
    ///
    /// # Errors
    /// [`PlanError`] for the first number that no small still has.
    pub fn check(&self) -> Result<(), PlanError> {
        let given = |field: &str, value: Option<f64>, low: f64, high: f64, unit, hint: &str| {
            within_if_given(field, value, range(low, high, unit), hint)
        };
        let hint = "inner diameter of the column, as a rule across it shows";
        given("measured.diameter_mm", self.diameter_mm, 15.0, 500.0, "mm", hint)?;
        let hint = "from the lowest to the highest of the packing or plates";
        given("measured.height_mm", self.height_mm, 50.0, 5000.0, "mm", hint)?;
        let hint = "from the foot of the packing up to the thermometer in the column";
        given("measured.column_probe_mm", self.column_probe_mm, 1.0, 5000.0, "mm", hint)?;
        let (pieces, sheets, plates) = match self.filling {
            Some(Filling::Pieces(size)) => (Some(size), None, None),
            Some(Filling::Sheets(area)) => (None, Some(area), None),
            Some(Filling::Plates(count)) => (None, None, Some(f64::from(count))),
            Some(Filling::Knitted) | None => (None, None, None),
        };
        given("measured.pieces_mm", pieces, 1.0, 100.0, "mm", "across one ring, saddle or spring")?;
        let hint = "as its maker states it, 250 to 750 is usual";
        given("measured.sheets_m2_per_m3", sheets, 50.0, 3000.0, "m²/m³", hint)?;
        given("measured.plates", plates, 1.0, 40.0, "plates", "count them")
    }
}
