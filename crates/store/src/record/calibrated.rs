//! Values of a still that several of its runs gave together, kept as what is stated of it.

use estimate::{Calibration, Character, Parameter, Spread};
use serde::{Deserialize, Serialize};
use still::plan::Still;

use crate::error::StoreError;
use crate::rows::check_note;

/// Most runs of a calibration, as many as are fitted together.
const RUNS_MAX: usize = 12;
/// Most values of a calibration: some three times those there are.
const VALUES_MAX: usize = 20;

/// A run that a calibration rests on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CalibratedFrom {
    /// The run's title.
    pub title: String,
    /// When it started, as its plan says.
    pub start: String,
}

/// One value with its 80 % band.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct CalibratedValue {
    /// Which.
    pub of: Parameter,
    /// Its middle and band.
    pub value: Spread,
    /// Whether the runs told it.
    pub told: bool,
}

/// Values of a still from several runs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StillCalibration {
    /// The still with the values put in.
    pub still: Still,
    /// The runs.
    pub runs: Vec<CalibratedFrom>,
    /// The values.
    pub values: Vec<CalibratedValue>,
}

impl StillCalibration {
    /// Of what was found in these runs.
    #[must_use]
    pub fn new(found: &Calibration, runs: Vec<CalibratedFrom>) -> Self {
        let value = |one: &estimate::Value| CalibratedValue {
            of: one.of,
            value: one.value,
            told: one.told,
        };
        Self { still: found.still.clone(), runs, values: found.values.iter().map(value).collect() }
    }

    /// Puts the values into a still of the same name; all else stays as it is stated.
    pub fn put_into(&self, still: &mut Still) {
        still.stages = self.still.stages;
        still.efficiency = self.still.efficiency;
        still.vapour_lost = self.still.vapour_lost;
        still.holdup_litres = self.still.holdup_litres;
        still.boiler_loss_w_per_k = self.still.boiler_loss_w_per_k;
        still.column_loss_w_per_k = self.still.column_loss_w_per_k;
        still.pressure_drop_pa_per_stage = self.still.pressure_drop_pa_per_stage;
    }

    /// What an estimate may believe of a still with these values put in.
    #[must_use]
    pub fn character(&self) -> Character {
        estimate::believed(self.values.iter().map(|one| (one.of, one.value)))
    }

    pub(super) fn check(&self) -> Result<(), StoreError> {
        self.still.check()?;
        if self.runs.len() > RUNS_MAX || self.values.len() > VALUES_MAX {
            let value = format!("{} runs, {} values", self.runs.len(), self.values.len());
            return Err(StoreError::Entry {
                field: "runs",
                value,
                bound: "must be 12 runs and 20 values at most",
            });
        }
        for run in &self.runs {
            check_note(&run.title)?;
            check_note(&run.start)?;
        }
        self.values.iter().try_for_each(|one| {
            let Spread { p10, p50, p90 } = one.value;
            let odd = [p10, p50, p90].into_iter().find(|value| !value.is_finite());
            odd.map_or(Ok(()), |value| {
                let (value, bound) = (value.to_string(), "must be finite numbers");
                Err(StoreError::Entry { field: "values", value, bound })
            })
        })
    }
}
