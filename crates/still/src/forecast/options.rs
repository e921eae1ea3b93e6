//! How a forecast is made.

use quantities::Pressure;

use crate::cancel::Cancel;

/// How a forecast is made.
#[derive(Debug, Clone)]
pub struct Options {
    /// Relative tolerance of the integration.
    pub rtol: f64,
    /// Station pressure instead of the site's.
    pub pressure: Option<Pressure>,
    /// Time between rows, s; none = only the last instant.
    pub row_every_s: Option<f64>,
    /// Stops it before it is through.
    pub cancel: Cancel,
}

impl Default for Options {
    fn default() -> Self {
        Self { rtol: 1e-3, pressure: None, row_every_s: Some(60.0), cancel: Cancel::never() }
    }
}
