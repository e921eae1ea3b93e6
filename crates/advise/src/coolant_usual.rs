//! How the coolant runs while nothing is wrong, against which a change is seen.

/// How the coolant runs in this phase, nothing being wrong: kept while something is.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct CoolantUsual {
    /// Flow, L/min, heat taken up, W, and power of the heater, W.
    pub(crate) usual: Option<(f64, f64, f64)>,
    /// Since when a person has changed nothing that it follows from, s.
    pub(crate) since_s: f64,
}
