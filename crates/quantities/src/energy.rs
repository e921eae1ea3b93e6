//! Heater power.

use crate::check::{quantity, reckoned};

quantity! {
    /// Power into the boiler; at most what a plan may state, sixteen burners of 500 kW.
    Power, "power", "W", from_watts, watts, 0.0, 8_000_000.0
}
reckoned!(Power, "watts", nearest_watts);

impl Power {
    /// No power.
    pub const OFF: Self = Self(0.0);
}
