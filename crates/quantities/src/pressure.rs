//! Absolute pressure at the still (station pressure, never reduced to sea level).

use crate::check::{quantity, reckoned};

quantity! {
    /// Absolute pressure in pascal.
    Pressure, "absolute pressure", "Pa", from_pascals, pascals, 30_000.0, 120_000.0
}

reckoned!(Pressure, "pascals", nearest_pascals);

impl Pressure {
    /// One standard atmosphere, 101 325 Pa.
    pub const STANDARD: Self = Self(101_325.0);

    /// Takes hectopascals (= mbar).
    ///
    /// # Errors
    /// [`OutOfRange`](crate::OutOfRange) (in hPa) outside 300..=1200.
    pub fn from_hectopascals(hpa: f64) -> Result<Self, crate::OutOfRange> {
        crate::check::in_range("absolute pressure", "hPa", hpa, 300.0, 1200.0)
            .map(|p| Self(p * 100.0))
    }

    /// Hectopascals.
    #[must_use]
    pub fn hectopascals(self) -> f64 {
        self.0 / 100.0
    }
}
