//! One forecast beside the truth: errors in percent of the hearts, bands that held, places taken.

use serde::Serialize;

use super::curve::{crps, place};
use super::forecast::Forecast;
use super::truth::Truth;
use quantities::Band;

/// One forecast quantity beside the truth, in percent of the hearts' duration or litres.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Mark {
    /// Continuous ranked probability score.
    pub crps: f64,
    /// Likely value less truth.
    pub error: f64,
    /// Width of the 80 % band.
    pub width_80: f64,
    /// Whether the truth lies in the 80 % band.
    pub inside_80: bool,
    /// Whether the truth lies in the 95 % band.
    pub inside_95: bool,
    /// How far outside the 95 % band, in half-widths of that band; 0 inside.
    pub beyond_95: f64,
    /// Probability that was given to less than the truth, 0 to 1.
    pub place: f64,
}

/// One forecast beside the truth.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Scored {
    /// The run.
    pub run: String,
    /// Run or series it belongs to: what is drawn together when resampling.
    pub unit: String,
    /// Place in its series from 1; none outside a series.
    pub series_run: Option<usize>,
    /// Family of the recording.
    pub family: String,
    /// Which probes were there.
    pub sensors: String,
    /// Whether nothing was broken.
    pub healthy: bool,
    /// Share of the hearts at which it was made.
    pub at_fraction: f64,
    /// End of the hearts, % of their duration.
    pub end: Mark,
    /// Litres of the hearts, % of them.
    pub litres: Mark,
    /// Strength now less truth, % vol.
    pub strength_error: Option<f64>,
    /// Whether the true strength lies in its 80 % band.
    pub strength_inside: Option<bool>,
    /// Error of the head probe's reading turned into a strength as it stands, % vol.
    pub naive_strength_error: Option<f64>,
}

/// Where a run stands in its collection.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Standing {
    /// Run or series it belongs to.
    pub unit: String,
    /// Place in its series from 1.
    pub series_run: Option<usize>,
}

impl Scored {
    /// Scores one forecast.
    #[must_use]
    pub fn new(forecast: &Forecast, truth: &Truth, standing: &Standing) -> Self {
        let real_strength = truth.strength_at(forecast.made_at_s);
        let off = |vol: Option<f64>| Some(vol? - real_strength?);
        let or_unknown =
            |words: &Option<String>| words.clone().unwrap_or_else(|| "unknown".to_owned());
        Self {
            run: forecast.run.clone(),
            unit: standing.unit.clone(),
            series_run: standing.series_run,
            family: or_unknown(&truth.family),
            sensors: or_unknown(&truth.sensors),
            healthy: truth.is_healthy(),
            at_fraction: forecast.at_fraction,
            end: mark(&forecast.end, truth.end_of_hearts_s, truth.hearts_s()),
            litres: mark(&forecast.litres, truth.hearts_l_20c, truth.hearts_l_20c),
            strength_error: off(forecast.strength_now),
            strength_inside: forecast
                .strength_80
                .zip(real_strength)
                .map(|([low, high], vol)| low <= vol && vol <= high),
            naive_strength_error: off(forecast.naive_strength_vol),
        }
    }

    /// The groups it counts in.
    #[must_use]
    pub fn groups(&self) -> Vec<String> {
        let mut groups = vec!["all".to_owned(), self.family.clone()];
        if self.family.starts_with("col") {
            groups.push("columns".to_owned());
        }
        groups.push(if self.healthy { "healthy" } else { "faulty" }.to_owned());
        groups.push(format!("probes {}", self.sensors));
        groups.extend(self.series_run.map(|nth| format!("series run {nth}")));
        groups
    }
}

fn mark(forecast: &Band, observed: f64, scale: f64) -> Mark {
    let percent = |value: f64| 100.0 * value / scale;
    let outside = (forecast.p025 - observed).max(observed - forecast.p975).max(0.0);
    let half_width = 0.5 * (forecast.p975 - forecast.p025);
    Mark {
        crps: percent(crps(forecast, observed)),
        error: percent(forecast.p50 - observed),
        width_80: percent(forecast.width_80()),
        inside_80: forecast.p10 <= observed && observed <= forecast.p90,
        inside_95: forecast.p025 <= observed && observed <= forecast.p975,
        // A point that misses is as far outside as a number can say and still be written.
        beyond_95: if outside > 0.0 { (outside / half_width.max(1e-9)).min(999.0) } else { 0.0 },
        place: place(forecast, observed),
    }
}
