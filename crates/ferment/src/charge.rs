//! A wash as the charge of a still: litres and strength with what is not known of both.

use quantities::Band;

use crate::forecast::Forecast;

/// What a run's plan takes as its charge, with its doubts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Charge {
    /// Litres at 20 °C.
    pub litres: f64,
    /// Standard deviation of the litres.
    pub litres_sd: f64,
    /// Strength, % vol at 20 °C.
    pub strength_vol: f64,
    /// Standard deviation of the strength, % vol.
    pub strength_sd: f64,
}

/// Standard deviations between the tenth and the ninth part of ten of a normal distribution.
const TENTHS_SD: f64 = 2.563;
/// Least doubt of the litres, share: a fermenter's marks (judgement).
const LITRES_SHARE: f64 = 0.02;

impl Charge {
    /// The whole wash at its end, as it is expected to be.
    #[must_use]
    pub fn of(forecast: &Forecast) -> Self {
        let sd = |of: &Band| (of.p90 - of.p10) / TENTHS_SD;
        let (strength, alcohol) = (&forecast.final_strength_vol, &forecast.pure_alcohol_l);
        let litres = 100.0 * alcohol.p50 / strength.p50.max(0.01);
        // What strength does not explain of the doubt of the pure alcohol is doubt of the litres.
        let relative = |of: &Band| sd(of) / of.p50.max(0.01);
        let rest = relative(alcohol).powi(2) - relative(strength).powi(2);
        let litres_sd = litres * rest.max(LITRES_SHARE.powi(2)).sqrt();
        Self { litres, litres_sd, strength_vol: strength.p50, strength_sd: sd(strength) }
    }
}
