//! Composition by amount.

use crate::check::quantity;

quantity! {
    /// Moles of ethanol per mole of ethanol and water (0..1).
    MoleFraction, "mole fraction of ethanol", "mol/mol", new, get, 0.0, 1.0
}
