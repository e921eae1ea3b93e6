//! Heater power.

use crate::check::quantity;

quantity! {
    /// Electrical power into the boiler.
    Power, "power", "W", from_watts, watts, 0.0, 100_000.0
}
