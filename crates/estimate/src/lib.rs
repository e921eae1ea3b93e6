//! What is known at a moment of a run: forecasts with bands, faults, what helps, what was learned.
//!
//! A whole-history fit of the still model to everything recorded so far. Pure: the same rows and
//! seed give the same bytes.

mod account;
mod alike;
mod balance;
mod believe;
mod by_strength;
mod calibrate;
mod character;
mod column_out;
mod coolant_loss;
mod counted;
mod counting;
mod draws;
mod end_draws;
mod error;
mod factors;
mod faults;
mod fit;
mod foresee;
mod foresight;
mod habits;
mod hypotheses;
mod in_column;
mod learned;
mod least_squares;
mod lesson;
mod linear;
mod measured;
mod model;
mod outlook;
mod past;
mod present;
mod problem;
mod read_so_far;
mod readings;
mod rises;
mod seen;
mod spans;
mod strength;
mod surer;
mod weak_heater;
mod weighed;

pub use balance::{Account, AlcoholBalance, Cause, Gauging, Part, Verdict};
pub use calibrate::{
    CalibrateError, CalibratedRun, Calibration, Compared, FinishedRun, FittedCharge, NextRun,
    Parameter, Residue, Said, Spread, Value, Worth, believed, calibrate, calibrate_telling,
    can_calibrate, predict,
};
pub use character::{Belief, Character, Learned, Trait};
pub use counted::{Changes, Counted};
pub use error::EstimateError;
pub use factors::{EndFactors, Factors, RunKind};
pub use outlook::{
    ColumnWorth, EndForecast, Evidence, Fault, FaultKind, Fitted, Help, Outlook, Share, Untrusted,
};
pub use present::{Warm, estimate as renew, usual_jar_ml};
use still::plan::RunPlan;

use sense::RecordedRun;

/// How an estimate is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Settings {
    /// Seed of the draws behind the bands.
    pub seed: u64,
    /// Whether measurements move the beliefs; off for comparison: the prior is carried on.
    pub update: bool,
    /// Whether what runs taught moves the bands; off where it is learned anew.
    pub learned: bool,
}

impl Default for Settings {
    fn default() -> Self {
        Self { seed: 1, update: true, learned: true }
    }
}

/// What a run that is over teaches.
#[derive(Debug, Clone, PartialEq)]
pub struct Lesson {
    /// The still's character, this run included.
    pub character: Character,
    /// Where the alcohol went.
    pub balance: AlcoholBalance,
}

/// What is known at run time `at_s` from the rows recorded up to then.
///
/// Later rows are ignored: cutting the record off at `at_s` gives the same bytes.
///
/// # Errors
/// [`EstimateError`] for a plan that breaks a rule or a still that cannot be simulated.
pub fn estimate(
    plan: &RunPlan,
    rows: &RecordedRun,
    at_s: f64,
    character: Option<&Character>,
    settings: Settings,
) -> Result<Outlook, EstimateError> {
    let cancel = still::Cancel::never();
    present::estimate(plan, rows, at_s, character, settings, None, &cancel)
        .map(|(outlook, _)| outlook)
}

/// Fits a run that is over to its end and takes what it teaches into the still's character, with
/// what `changes` says of when its steps were begun.
///
/// # Errors
/// As [`estimate`].
pub fn learn(
    plan: &RunPlan,
    rows: &RecordedRun,
    before: &Character,
    settings: Settings,
    changes: Changes,
) -> Result<Lesson, EstimateError> {
    lesson::learn(plan, rows, before, settings, changes)
}

/// Where the alcohol of a run that is over went, without what the run teaches: what the still was
/// believed to be `before` it is as in [`learn`].
///
/// # Errors
/// As [`estimate`].
pub fn balance(
    plan: &RunPlan,
    rows: &RecordedRun,
    before: &Character,
) -> Result<AlcoholBalance, EstimateError> {
    lesson::balance(plan, rows, before)
}
