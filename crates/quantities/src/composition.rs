//! Composition by mass and by amount.

use crate::check::quantity;

quantity! {
    /// Mass of ethanol per mass of liquid (0..1).
    MassFraction, "mass fraction of ethanol", "kg/kg", new, get, 0.0, 1.0
}
quantity! {
    /// Moles of ethanol per mole of ethanol and water (0..1).
    MoleFraction, "mole fraction of ethanol", "mol/mol", new, get, 0.0, 1.0
}

impl MassFraction {
    /// Takes per cent by mass.
    ///
    /// # Errors
    /// [`OutOfRange`](crate::OutOfRange) (in per cent) outside 0..=100.
    pub fn from_percent(percent: f64) -> Result<Self, crate::OutOfRange> {
        crate::check::in_range("strength by mass", "% mass", percent, 0.0, 100.0)
            .map(|p| Self(p / 100.0))
    }

    /// Per cent by mass.
    #[must_use]
    pub fn percent(self) -> f64 {
        self.0 * 100.0
    }
}
