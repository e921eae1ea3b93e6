//! Heater power.

use crate::check::quantity;

quantity! {
    /// Electrical power into the boiler.
    Power, "power", "W", from_watts, watts, 0.0, 200_000.0
}

impl Power {
    /// No power.
    pub const OFF: Self = Self(0.0);
}
