//! The column: pot, contact stages, condenser drum and receiver as one stiff system.
//!
//! The unknowns are moles in the pot, mole fractions on stages and in the drum (constant molar
//! hold-up), moles in the receiver. Temperatures, vapour flows and take-off follow from them.

mod apparatus;
mod flows;
mod node;
mod sweep;
mod system;

pub use apparatus::{Apparatus, Draw};
pub use flows::Flows;
pub use node::Node;
pub use system::{Column, ColumnError};
