//! What is refused: field, value, bound and a hint.

use alcoholometry::AlcoholometryError;

/// Input that has no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FinishingError {
    /// A value outside its bounds; NaN and infinities are outside every bound.
    #[error("{field} is {value} {unit}; it must lie from {low} to {high} {unit}")]
    OutOfRange {
        /// Which input, as commands and forms name it.
        field: String,
        /// What came.
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
    /// A word that is none of those known.
    #[error("{field} is \"{value}\"; it must be one of {allowed}")]
    Unknown {
        /// Which input.
        field: &'static str,
        /// What came.
        value: String,
        /// The words known.
        allowed: String,
    },
    /// Inputs that contradict each other, or miss something.
    #[error("{field}: {what}")]
    Unfit {
        /// Which input.
        field: &'static str,
        /// What is wrong, with the value and what is allowed.
        what: String,
        /// What to do about it.
        hint: &'static str,
    },
    /// The alcoholometry of it refuses.
    #[error(transparent)]
    Alcoholometry(#[from] AlcoholometryError),
}

impl FinishingError {
    /// The input the error is about.
    #[must_use]
    pub fn field(&self) -> String {
        match self {
            Self::OutOfRange { field, .. } => field.clone(),
            Self::Unknown { field, .. } | Self::Unfit { field, .. } => (*field).to_owned(),
            Self::Alcoholometry(error) => error.field().to_string(),
        }
    }

    /// Field, value and bound in words; empty where there is none.
    #[must_use]
    pub fn parts(&self) -> (String, String, String) {
        let between =
            |low: f64, high: f64, unit: &str| format!("must lie from {low} to {high} {unit}");
        let (value, bound) = match self {
            Self::OutOfRange { value, low, high, unit, .. }
            | Self::Alcoholometry(AlcoholometryError::OutOfRange {
                value, low, high, unit, ..
            }) => (value.to_string(), between(*low, *high, unit)),
            Self::Alcoholometry(AlcoholometryError::Count { count, low, high, .. }) => {
                (format!("{count} entries"), format!("must have {low} to {high} entries"))
            }
            Self::Alcoholometry(AlcoholometryError::Frozen { value, low, celsius, .. }) => (
                format!("{value:.2} % mass"),
                format!("must lie from {low:.2} to 100 % mass at {celsius} °C: less is partly ice"),
            ),
            Self::Unknown { value, allowed, .. } => {
                (value.clone(), format!("must be one of {allowed}"))
            }
            Self::Unfit { what, .. } => ("what was given".to_owned(), what.clone()),
            Self::Alcoholometry(AlcoholometryError::Search { .. }) => Default::default(),
        };
        (self.field(), value, bound)
    }

    /// What to do about it.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::OutOfRange { hint, .. } | Self::Unfit { hint, .. } => hint,
            Self::Unknown { .. } => "give one of the words listed",
            Self::Alcoholometry(error) => error.hint(),
        }
    }
}
