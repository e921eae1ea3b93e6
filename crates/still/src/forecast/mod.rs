//! A whole run from its plan: heat-up, steps with their triggers, fractions, balances, warnings.

mod report;
mod rows;
mod runner;
mod warnings;

use thermo::Mixture;

use crate::cancel::Cancel;
use crate::error::StillError;
use crate::outcome::Forecast;
use crate::plan::RunPlan;
use crate::setup::ChargeMoles;

/// How a forecast is made.
#[derive(Debug, Clone)]
pub struct Options {
    /// Relative tolerance of the integration.
    pub rtol: f64,
    /// Station pressure instead of the site's, hPa.
    pub pressure_hpa: Option<f64>,
    /// Time between rows, s; none = only the last instant.
    pub row_every_s: Option<f64>,
    /// Stops it before it is through.
    pub cancel: Cancel,
}

impl Default for Options {
    fn default() -> Self {
        Self { rtol: 1e-3, pressure_hpa: None, row_every_s: Some(60.0), cancel: Cancel::never() }
    }
}

/// Simulates the plan.
///
/// # Errors
/// [`StillError`]: a wrong plan, a charge that never boils, equations that fail, a run that takes
/// too many steps or was cancelled.
pub fn forecast(plan: &RunPlan, options: &Options) -> Result<Forecast, StillError> {
    plan.check()?;
    let charge = ChargeMoles::of(&plan.charge);
    // A few sizes serve every charge; places beyond its substances stay empty.
    match charge.components.len() {
        0..=2 => sized::<2>(plan, options, &charge),
        3..=8 => sized::<8>(plan, options, &charge),
        9..=10 => sized::<10>(plan, options, &charge),
        _ => sized::<14>(plan, options, &charge),
    }
}

fn sized<const C: usize>(
    plan: &RunPlan,
    options: &Options,
    charge: &ChargeMoles,
) -> Result<Forecast, StillError> {
    let mixture = Mixture::<C>::new(&charge.components)
        .map_err(|error| StillError::Column { time_s: 0.0, source: error.into() })?;
    runner::Runner::new(plan, options, charge, mixture)?.run()
}
