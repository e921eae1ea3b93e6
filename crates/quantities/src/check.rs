//! The one range check behind every quantity, and the macro that writes the newtypes.

/// A value that a quantity refuses, with the bound it broke.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("{quantity} of {value} {unit} is out of range: it must lie from {low} to {high} {unit}")]
pub struct OutOfRange {
    /// What was being set, in words ("absolute pressure").
    pub quantity: &'static str,
    /// The refused value, in `unit`.
    pub value: f64,
    /// Lowest value that is taken.
    pub low: f64,
    /// Highest value that is taken.
    pub high: f64,
    /// The unit of `value`, `low` and `high`.
    pub unit: &'static str,
}

/// Returns `value` where it lies from `low` to `high`; NaN and infinities never do.
pub(crate) fn in_range(
    quantity: &'static str,
    unit: &'static str,
    value: f64,
    low: f64,
    high: f64,
) -> Result<f64, OutOfRange> {
    if value >= low && value <= high {
        Ok(value)
    } else {
        Err(OutOfRange { quantity, value, low, high, unit })
    }
}

/// Writes a newtype over one `f64`: constructor with its range, accessor, order.
macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $what:literal, $unit:literal, $from:ident, $get:ident, $low:expr, $high:expr) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// Lowest value that is taken.
            pub const LOW: f64 = $low;
            /// Highest value that is taken.
            pub const HIGH: f64 = $high;

            #[doc = concat!("Takes a value in ", $unit, ".\n\n# Errors\n[`OutOfRange`](crate::OutOfRange) outside `LOW..=HIGH`, for NaN and infinities.")]
            pub fn $from(value: f64) -> Result<Self, $crate::OutOfRange> {
                $crate::check::in_range($what, $unit, value, Self::LOW, Self::HIGH).map(Self)
            }

            #[doc = concat!("The value in ", $unit, ".")]
            #[must_use]
            pub const fn $get(self) -> f64 {
                self.0
            }
        }
    };
}
pub(crate) use quantity;

/// Writes the constructor that refuses nothing, for what was reckoned and not told.
macro_rules! reckoned {
    ($name:ident, $unit:literal, $nearest:ident) => {
        impl $name {
            #[doc = concat!("The nearest to a value in ", $unit, " that is taken, the lowest for NaN.\n\nFor what was reckoned from checked numbers and lies in range; what comes from outside is checked.")]
            #[must_use]
            pub const fn $nearest(value: f64) -> Self {
                Self(value.max(Self::LOW).min(Self::HIGH))
            }
        }
    };
}
pub(crate) use reckoned;

#[cfg(test)]
mod tests {
    use super::in_range;

    #[test]
    fn prop_nan_and_infinities_are_never_in_range() {
        for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert!(in_range("x", "m", value, f64::MIN, f64::MAX).is_err());
        }
        let said = in_range("strength", "% vol", 300.0, 0.0, 100.0).unwrap_err().to_string();
        assert!(said.contains("300") && said.contains("from 0 to 100 % vol"), "{said}");
    }
}
