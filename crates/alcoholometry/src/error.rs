//! What alcoholometry refuses, and what it says about it: field, value, bound and a hint.

use std::fmt;

use numerics::root::RootError;

/// The input a message is about: a name as commands and forms use it, and in a list its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Field {
    /// The name, such as "reading", "at" or "litres".
    pub name: &'static str,
    /// The part of a blend it belongs to, counted from 1.
    pub part: Option<usize>,
}

impl Field {
    /// A field that stands alone.
    #[must_use]
    pub const fn named(name: &'static str) -> Self {
        Self { name, part: None }
    }

    /// A field of the part with this place, counted from 1.
    #[must_use]
    pub const fn of_part(name: &'static str, part: usize) -> Self {
        Self { name, part: Some(part) }
    }
}

impl fmt::Display for Field {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.part {
            Some(part) => write!(f, "part {part}: {}", self.name),
            None => f.write_str(self.name),
        }
    }
}

/// A bound as a person reads it: four decimals at most, unless it is smaller than they can show.
fn shown(bound: f64) -> String {
    if bound != 0.0 && bound.abs() < 0.001 {
        return bound.to_string();
    }
    format!("{bound:.4}").trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Input that has no answer.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum AlcoholometryError {
    /// A value outside its bounds; NaN and infinities are outside every bound.
    #[error("{field} is {value} {unit}; it must lie from {} to {} {unit}", shown(*low), shown(*high))]
    OutOfRange {
        /// Which input.
        field: Field,
        /// What came, in `unit`.
        value: f64,
        /// Lowest value taken.
        low: f64,
        /// Highest value taken.
        high: f64,
        /// Unit of value and bounds.
        unit: &'static str,
        /// What to do about it.
        hint: &'static str,
    },
    /// A liquid that would be partly ice at its temperature.
    #[error(
        "{field} means {value:.2} % mass, but at {celsius} °C such a liquid is partly ice; it must lie from {low:.2} to 100 % mass"
    )]
    Frozen {
        /// Which input.
        field: Field,
        /// Strength, % mass.
        value: f64,
        /// Weakest liquid that has no ice in it at this temperature, % mass.
        low: f64,
        /// The temperature, °C.
        celsius: f64,
    },
    /// Too few or too many things in a list.
    #[error("{field}: {count} given; it must be from {low} to {high}")]
    Count {
        /// Which list.
        field: Field,
        /// How many came.
        count: usize,
        /// Fewest taken.
        low: usize,
        /// Most taken.
        high: usize,
    },
    /// A search that found nothing, with how far it came.
    #[error("{field}: {cause}")]
    Search {
        /// What was looked for.
        field: Field,
        /// Iterations, last residual and bracket.
        cause: RootError,
    },
}

impl AlcoholometryError {
    /// The input the error is about.
    #[must_use]
    pub const fn field(&self) -> Field {
        match self {
            Self::OutOfRange { field, .. }
            | Self::Frozen { field, .. }
            | Self::Count { field, .. }
            | Self::Search { field, .. } => *field,
        }
    }

    /// What to do about it.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::OutOfRange { hint, .. } => hint,
            Self::Frozen { .. } => "warm the liquid until all of it has melted and measure again",
            Self::Count { .. } => "add or leave out entries",
            Self::Search { .. } => "the inputs contradict each other; check each of them",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::shown;

    #[test]
    fn bounds_are_shown_short() {
        for (bound, text) in
            [(0.0, "0"), (100.0, "100"), (1.54472160, "1.5447"), (1e-6, "0.000001"), (-20.0, "-20")]
        {
            assert_eq!(shown(bound), text);
        }
    }
}
