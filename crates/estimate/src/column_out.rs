//! Why a thermometer in the column is left out, and what is said of it.

/// Why it is left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Why {
    /// It reads under the head or over the pot by so much, K.
    Outside(f64),
    /// It disagrees with the still as fitted to all else, K.
    Disagrees(f64),
    /// It drifts.
    Drifts,
}

/// A thermometer in the column that is left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ColumnOut {
    pub(super) since_s: f64,
    pub(super) why: Why,
}

impl ColumnOut {
    /// What is said of it.
    pub(super) fn words(&self) -> String {
        let why = match self.why {
            Why::Outside(by_k) if by_k < 0.0 => {
                format!("it reads {:.1} K colder than the head, and no column is", -by_k)
            }
            Why::Outside(by_k) => format!("it reads {by_k:.1} K hotter than the pot"),
            Why::Disagrees(_) => {
                "it disagrees with the head, the pot and what was drawn".to_owned()
            }
            Why::Drifts => "it creeps and nothing else says so".to_owned(),
        };
        format!("the thermometer in the column is left out of the forecast: {why}")
    }
}
