//! Values of a still that several of its runs gave together, kept as what is stated of it.

use estimate::{CalibratedRun, Calibration, Character, NextRun, Parameter, Spread};
use serde::{Deserialize, Serialize};
use still::plan::Still;

use super::lesson::check_name;
use crate::error::StoreError;
use crate::rows::check_note;

/// Most runs of a calibration, as many as are fitted together.
const RUNS_MAX: usize = 12;
/// Most values of a calibration: some three times those there are.
const VALUES_MAX: usize = 20;
/// Further runs that are kept: as many as are named.
const FURTHER_MAX: usize = 4;

/// Keys of a still that a calibration states.
pub const CALIBRATED_KEYS: [&str; 7] = [
    "stages",
    "efficiency",
    "vapour_lost",
    "holdup_litres",
    "boiler_loss_w_per_k",
    "column_loss_w_per_k",
    "pressure_drop_pa_per_stage",
];

/// How a run compares with what the fit of the others foretells, %; strength in % vol.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LeftOut {
    /// Root mean square of the strength's difference, % vol; none where no jar was gauged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strength_rms_vol: Option<f64>,
    /// Foretold time over what it took.
    pub end_percent: f64,
    /// Foretold pure alcohol over what came.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub alcohol_percent: Option<f64>,
}

/// A run that a calibration rests on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CalibratedFrom {
    /// The run's title.
    pub title: String,
    /// When it started, as its plan says.
    pub start: String,
    /// As the fit of the others foretells it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub left_out: Option<LeftOut>,
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
    /// What was believed before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub prior: Option<Spread>,
}

/// Two values that the runs cannot tell apart.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct NotApart {
    /// One of them.
    pub one: Parameter,
    /// The other.
    pub other: Parameter,
    /// How they go together, -1 to 1.
    pub correlation: f64,
}

/// A further run, and what it should tell.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FurtherRun {
    /// In words.
    pub text: String,
    /// Share of the doubt that it should take away.
    pub doubt_less: f64,
    /// The value it should tell most about.
    pub most: Parameter,
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
    /// Which of them the runs cannot tell apart.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_apart: Vec<NotApart>,
    /// Further runs, the most telling first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub next: Vec<FurtherRun>,
    /// The still as its runs stated it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stated: Option<Box<Still>>,
}

/// The calibration of a still is set aside: what was stated before is believed again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CalibrationDropped {
    /// Name of the still.
    pub still: String,
    /// Why, in words.
    pub reason: String,
}

impl StillCalibration {
    /// Of what was found in these runs, in their order, with the still as they stated it.
    #[must_use]
    pub fn new(found: &Calibration, stated: &Still, runs: &[(String, String)]) -> Self {
        let value = |one: &estimate::Value| CalibratedValue {
            of: one.of,
            value: one.value,
            told: one.told,
            prior: Some(one.prior),
        };
        let run = |((title, start), run): (&(String, String), &CalibratedRun)| CalibratedFrom {
            title: title.clone(),
            start: start.clone(),
            left_out: run.left_out.as_ref().map(|run| LeftOut {
                strength_rms_vol: run.strength_rms_vol,
                end_percent: run.end_percent,
                alcohol_percent: run.alcohol_percent,
            }),
        };
        let apart = |&(one, other, correlation): &(Parameter, Parameter, f64)| NotApart {
            one,
            other,
            correlation,
        };
        let further = |one: &NextRun| FurtherRun {
            text: one.text.clone(),
            doubt_less: one.variance_less,
            most: one.most.0,
        };
        Self {
            still: found.still.clone(),
            runs: runs.iter().zip(&found.runs).map(run).collect(),
            values: found.values.iter().map(value).collect(),
            not_apart: found.not_apart.iter().map(apart).collect(),
            next: found.next.iter().take(FURTHER_MAX).map(further).collect(),
            stated: Some(Box::new(stated.clone())),
        }
    }

    /// Puts the values into a still of the same name; all else stays as it is stated.
    pub fn put_into(&self, still: &mut Still) {
        take_over(&self.still, still, &CALIBRATED_KEYS);
    }

    /// What an estimate may believe of a still with these values put in.
    #[must_use]
    pub fn character(&self) -> Character {
        estimate::believed(self.values.iter().map(|one| (one.of, one.value)))
    }

    pub(super) fn check(&self) -> Result<(), StoreError> {
        self.still.check()?;
        self.stated.as_ref().map_or(Ok(()), |still| still.check())?;
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
        let spreads = self.values.iter().flat_map(|one| [Some(one.value), one.prior]).flatten();
        let spreads = spreads.flat_map(|Spread { p10, p50, p90 }| [p10, p50, p90]);
        let runs = self.runs.iter().filter_map(|run| run.left_out).flat_map(|run| {
            [
                run.strength_rms_vol.unwrap_or(0.0),
                run.end_percent,
                run.alcohol_percent.unwrap_or(0.0),
            ]
        });
        let others = self.not_apart.iter().map(|pair| pair.correlation);
        let others = others.chain(self.next.iter().map(|next| next.doubt_less));
        let odd = spreads.chain(runs).chain(others).find(|value| !value.is_finite());
        odd.map_or(Ok(()), |value| {
            let (value, bound) = (value.to_string(), "must be finite numbers");
            Err(StoreError::Entry { field: "values", value, bound })
        })
    }
}

impl CalibrationDropped {
    pub(super) fn check(&self) -> Result<(), StoreError> {
        check_name(&self.still)?;
        if self.reason.trim().is_empty() {
            let bound = "must say why the calibration is set aside";
            return Err(StoreError::Entry { field: "reason", value: "empty".into(), bound });
        }
        Ok(check_note(&self.reason)?)
    }
}

/// Puts the values behind some of the [`CALIBRATED_KEYS`] from one still into another; both must
/// hold finite numbers.
///
/// # Panics
/// Never with finite numbers: both are stills, key by key.
pub fn take_over(from: &Still, into: &mut Still, keys: &[&str]) {
    let keyed =
        |still: &Still| serde_json::to_value(still).expect("a still always has a JSON text");
    let (from, mut keyed_into) = (keyed(from), keyed(into));
    if let Some(map) = keyed_into.as_object_mut() {
        for key in keys {
            match from.get(key) {
                Some(value) => drop(map.insert((*key).to_owned(), value.clone())),
                None => drop(map.remove(*key)),
            }
        }
    }
    *into = serde_json::from_value(keyed_into).expect("both are stills, key by key");
}
