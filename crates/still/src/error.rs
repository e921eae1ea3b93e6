//! What can go wrong in a simulated run.

use crate::column::ColumnError;
use crate::plan::PlanError;

/// A run that cannot be simulated.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StillError {
    /// The plan itself is wrong.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// The heater does not bring the charge to the boil against the heat loss.
    #[error(
        "the charge never boils: at {temperature_c:.1} °C the boiler loses {lost_w:.0} W and the \
         heater gives {heater_w:.0} W"
    )]
    NeverBoils {
        /// Heater power, W.
        heater_w: f64,
        /// Heat loss where heating stops, W.
        lost_w: f64,
        /// Temperature at which it stops, °C.
        temperature_c: f64,
    },
    /// The hold-up takes more than the charge can give.
    #[error("{holdup_mol:.1} mol of hold-up cannot be filled from a charge of {charge_mol:.1} mol")]
    HoldupTooLarge {
        /// Hold-up, mol.
        holdup_mol: f64,
        /// Charge, mol.
        charge_mol: f64,
    },
    /// The equations could not be evaluated.
    #[error("the still's equations failed {time_s:.1} s after heater on: {source}")]
    Column {
        /// Run time, s.
        time_s: f64,
        /// Why.
        source: ColumnError,
    },
    /// The integrator found no step short enough, or needed too many.
    #[error("the integrator gave up {time_s:.1} s after heater on, after {steps} steps: {why}")]
    Integrator {
        /// Run time, s.
        time_s: f64,
        /// Steps made.
        steps: usize,
        /// Its own words.
        why: String,
    },
    /// More integrator steps than any sensible run needs.
    #[error(
        "this run takes more than {limit} steps to reckon: it was given up {time_s:.1} s after \
         heater on"
    )]
    OverLimit {
        /// Run time reached, s.
        time_s: f64,
        /// Steps allowed.
        limit: usize,
    },
    /// Whoever asked for it no longer wants it.
    #[error("this reckoning was stopped before it was through, {time_s:.1} s after heater on")]
    Cancelled {
        /// Run time reached, s.
        time_s: f64,
    },
}

impl StillError {
    /// Stable code.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Plan(_) => "plan",
            Self::NeverBoils { .. } => "never_boils",
            Self::HoldupTooLarge { .. } => "holdup_too_large",
            Self::Column { .. } => "column",
            Self::Integrator { .. } => "integrator",
            Self::OverLimit { .. } => "over_limit",
            Self::Cancelled { .. } => "cancelled",
        }
    }

    /// What a person can do about it.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            Self::Plan(error) => error.hint.clone(),
            Self::NeverBoils { .. } => "give the heat step more watts, or lag the boiler".into(),
            Self::HoldupTooLarge { .. } => "charge more, or state a smaller hold-up".into(),
            Self::OverLimit { .. } => {
                "shorten the plan, or check hold-up and stages for extreme values".into()
            }
            Self::Cancelled { .. } => "ask again when the machine has less to do".into(),
            Self::Column { .. } | Self::Integrator { .. } => {
                "check the plan for extreme values; if they are real, report this run file".into()
            }
        }
    }

    pub(crate) const fn at(time_s: f64) -> impl Fn(ColumnError) -> Self {
        move |source| Self::Column { time_s, source }
    }
}
