//! Draws of one end and their bands.

use super::outlook::EndForecast;
use quantities::Band;

/// Draws of one end.
#[derive(Debug, Clone, Default)]
pub(super) struct EndDraws {
    pub(super) time_s: Vec<f64>,
    pub(super) litres: Vec<f64>,
    pub(super) strength: Vec<f64>,
}

impl EndDraws {
    /// Adds the draws of another hypothesis.
    pub(super) fn take(&mut self, other: Option<Self>) {
        if let Some(mut other) = other {
            self.time_s.append(&mut other.time_s);
            self.litres.append(&mut other.litres);
            self.strength.append(&mut other.strength);
        }
    }
}

/// Bands of an end.
pub(super) fn bands(draws: &EndDraws) -> Option<EndForecast> {
    Some(EndForecast {
        time_s: Band::of_draws(&draws.time_s)?,
        litres: Band::of_draws(&draws.litres)?,
        strength_vol: Band::of_draws(&draws.strength)?,
    })
}
