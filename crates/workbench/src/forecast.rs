//! One forecast of a run's hearts, made at one moment, as it is written and scored.

use estimate::Outlook;
use quantities::Band;

/// A forecast of one run at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// The run: its folder below the collection.
    pub run: String,
    /// Share of the hearts at which it was made.
    pub at_fraction: f64,
    /// When it was made, run time in s.
    pub made_at_s: f64,
    /// End of the hearts, run time in s.
    pub end: Band,
    /// Litres of hearts in all, at 20 °C.
    pub litres: Band,
    /// Strength of what runs now, % vol: likely.
    pub strength_now: Option<f64>,
    /// Its 80 % band.
    pub strength_80: Option<[f64; 2]>,
    /// Strength of the charge as believed, % vol.
    pub charge_strength_vol: Option<f64>,
    /// Litres of the charge as believed.
    pub charge_litres: Option<f64>,
    /// Litres of hearts drawn by then, as believed; never written.
    pub drawn_l: Option<f64>,
    /// Likeliest fault as `kind:channel`, or `none`; nothing where faults were not looked for.
    pub fault: Option<String>,
    /// The raw head probe's strength beside it, % vol; never written.
    pub naive_strength_vol: Option<f64>,
    /// Answers it says should not be trusted.
    pub untrusted: Vec<String>,
}

impl Forecast {
    /// What an outlook says, rounded as it is written; none where it gives no end of the hearts,
    /// or one that is not finite and in order.
    #[must_use]
    pub fn of_outlook(run: &str, at_fraction: f64, outlook: &Outlook) -> Option<Self> {
        let end = outlook.end?;
        let forecast = Self {
            run: run.to_owned(),
            at_fraction,
            made_at_s: outlook.made_at_s,
            end: end.time_s.map(|s| rounded(s, 10.0)),
            litres: end.litres.map(|litres| rounded(litres, 1e4)),
            strength_now: Some(rounded(outlook.strength_now.p50, 100.0)),
            strength_80: Some(
                [outlook.strength_now.p10, outlook.strength_now.p90].map(|vol| rounded(vol, 100.0)),
            ),
            charge_strength_vol: Some(rounded(outlook.charge_strength_vol.p50, 1e3)),
            charge_litres: Some(rounded(outlook.charge_litres.p50, 1e3)),
            drawn_l: outlook.drawn_l(),
            fault: Some(outlook.named_fault()),
            naive_strength_vol: None,
            untrusted: outlook.untrusted.iter().map(|untrusted| untrusted.answer.clone()).collect(),
        };
        (is_in_order(&forecast.end) && is_in_order(&forecast.litres)).then_some(forecast)
    }
}

/// Finite, and rising from the lowest quantile to the highest.
#[must_use]
pub(super) fn is_in_order(quantiles: &Band) -> bool {
    let five = quantiles.to_array();
    five.iter().all(|value| value.is_finite()) && five.windows(2).all(|pair| pair[0] <= pair[1])
}

fn rounded(value: f64, per_unit: f64) -> f64 {
    (value * per_unit).round() / per_unit
}
