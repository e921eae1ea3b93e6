//! Volumes: as they stand at some temperature, and as they would be at 20 °C.

use crate::check::quantity;

quantity! {
    /// Litres as measured, at whatever temperature the liquid has.
    Volume, "volume", "L", from_litres, litres, 0.0, 100_000.0
}
quantity! {
    /// Litres the same liquid would fill at 20 °C: the basis of every account.
    Volume20, "volume at 20 °C", "L", from_litres, litres, 0.0, 100_000.0
}
