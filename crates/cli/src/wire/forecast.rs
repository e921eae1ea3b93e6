//! A forecast as `middlecut forecast --json` prints it: the API's summary, its range and its effort.

use advise::Outset;
use quantities::Band;
use serde::Serialize;
use server::ForecastSummaryWire;
use still::outcome::Forecast;
use still::plan::RunPlan;

/// The whole object.
#[derive(Debug, Serialize)]
pub(crate) struct ForecastWire {
    #[serde(flatten)]
    summary: ForecastSummaryWire,
    range: Option<RangeWire>,
    effort: EffortWire,
}

/// What the doubt about the charge leaves open.
#[derive(Debug, Serialize)]
struct RangeWire {
    hearts_end_s: Band,
    hearts_l: Band,
    end_s: Band,
}

#[derive(Debug, Serialize)]
struct EffortWire {
    steps: usize,
    rejected: usize,
    derivative_calls: usize,
}

impl ForecastWire {
    /// The forecast of a plan, with its range.
    pub(crate) fn of(plan: &RunPlan, forecast: &Forecast, outset: Option<&Outset>) -> Self {
        Self {
            summary: ForecastSummaryWire::of(plan, forecast),
            range: outset.map(|outset| RangeWire {
                hearts_end_s: outset.hearts_end_s,
                hearts_l: outset.hearts_l,
                end_s: outset.end_s,
            }),
            effort: EffortWire {
                steps: forecast.effort.steps,
                rejected: forecast.effort.rejected,
                derivative_calls: forecast.effort.derivative_calls,
            },
        }
    }
}
