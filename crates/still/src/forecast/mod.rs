//! A whole run from its plan: heat-up, steps with their triggers, fractions, balances, warnings.

mod options;
mod peaks;
mod report;
mod rows;
mod runner;
mod warnings;

pub use options::Options;
use thermo::Mixture;
pub(crate) use warnings::{CHARGE_STRENGTH_MAX_VOL, COOLANT_OUT_MAX_C, WATER_J_PER_L_K, fill_max};

use crate::error::StillError;
use crate::outcome::Forecast;
use crate::plan::RunPlan;
use crate::setup::ChargeMoles;

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
    let run = runner::Runner::new(plan, options, charge, mixture)?.run()?;
    Ok(report::assemble(run))
}
