//! What a calibration says: values with their bands, what can be told apart, each run predicted
//! from the others, and which further run should tell most.

use sense::{Action, RecordedRun, Vessel};
use serde::{Deserialize, Serialize};
use still::plan::{Measured, OwnStill, RunPlan, Still};

/// A run that is over.
#[derive(Debug, Clone, Copy)]
pub struct FinishedRun<'a> {
    /// Its plan.
    pub plan: &'a RunPlan,
    /// What was recorded.
    pub rows: &'a RecordedRun,
    /// What was left in the boiler, where that was weighed or gauged.
    pub residue: Option<Residue>,
}

/// What was left in the boiler at the end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Residue {
    /// Litres at 20 °C.
    pub litres: f64,
    /// Strength, % vol, where it was gauged.
    pub strength_vol: Option<f64>,
}

impl Residue {
    /// As the rows of a run have it; none where it was not measured.
    #[must_use]
    pub fn recorded(rows: &RecordedRun) -> Option<Self> {
        let (mut litres, mut alcohol_l, mut all_read) = (0.0, 0.0, true);
        for (_, action) in &rows.actions {
            let Action::Vessel(record) = action else { continue };
            if record.vessel == Vessel::Residue {
                let found = record.gauged(None);
                litres += found.litres_20c;
                all_read &= found.strength_vol.is_some();
                alcohol_l += found.litres_20c * found.strength_vol.unwrap_or(0.0) / 100.0;
            }
        }
        let strength_vol = all_read.then_some(100.0 * alcohol_l / litres);
        (litres > 0.0).then_some(Self { litres, strength_vol })
    }
}

/// Losses that follow from what a person says of the walls, W/K; none where nothing was said.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Said {
    /// Of column and head.
    pub column_loss_w_per_k: Option<f64>,
    /// Of the boiler.
    pub boiler_loss_w_per_k: Option<f64>,
}

impl Said {
    /// What follows from the walls of a still as far as they were described.
    #[must_use]
    pub fn of(still: &Still, measured: &Measured) -> Self {
        let own = OwnStill {
            kind: still.kind,
            boiler_litres: still.boiler_litres,
            elements_watts: still.elements_watts.clone(),
        };
        let (derived, _) = own.derive(&still.name, measured);
        Self {
            column_loss_w_per_k: measured.column_lagged.map(|_| derived.column_loss_w_per_k),
            boiler_loss_w_per_k: measured.boiler_lagged.map(|_| derived.boiler_loss_w_per_k),
        }
    }
}

/// What is looked for in all runs together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Parameter {
    /// Heat lost by column and head, W/K.
    ColumnLoss,
    /// Heat lost by the boiler, W/K.
    BoilerLoss,
    /// Efficiency of each stage.
    Efficiency,
    /// Liquid held in column and drum, L.
    HoldUp,
    /// Share of the spirit drawn that never reaches the jars.
    VapourLost,
    /// Strength of all charges over what is stated (1 = as stated).
    ChargeStrength,
}

impl Parameter {
    /// The name used in files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::ColumnLoss => "column_loss_w_per_k",
            Self::BoilerLoss => "boiler_loss_w_per_k",
            Self::Efficiency => "efficiency",
            Self::HoldUp => "holdup_litres",
            Self::VapourLost => "vapour_lost",
            Self::ChargeStrength => "charge_strength",
        }
    }
}

/// Middle and 80 % band.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Spread {
    /// Lower end.
    pub p10: f64,
    /// Middle.
    pub p50: f64,
    /// Upper end.
    pub p90: f64,
}

/// One value of the still.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Value {
    /// Which.
    pub of: Parameter,
    /// What these runs and the belief together say.
    pub value: Spread,
    /// What was believed before.
    pub prior: Spread,
    /// Spread after the runs over the spread before: 1 = they say nothing.
    pub spread_left: f64,
    /// Whether these runs tell it, by itself.
    pub told: bool,
    /// The value it goes with most, and the correlation.
    pub goes_with: Option<(Parameter, f64)>,
}

/// A run's charge as fitted, over what is stated.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FittedCharge {
    /// Litres at 20 °C.
    pub litres: Spread,
    /// Strength, % vol.
    pub strength_vol: Spread,
}

/// A run as simulated against what came.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Compared {
    /// Root mean square of the strength's difference over fourteenths of the volume, % vol; none
    /// where no jar was gauged.
    pub strength_rms_vol: Option<f64>,
    /// Its mean, % vol.
    pub strength_bias_vol: Option<f64>,
    /// Time to the last jar's end over what it took, %.
    pub end_percent: f64,
    /// Pure alcohol in the same volume over what came, %.
    pub alcohol_percent: Option<f64>,
    /// Middle of each fourteenth in litres, strength as gauged, strength as simulated, % vol.
    pub slices: Vec<(f64, f64, f64)>,
}

/// What a kind of measurement was worth in a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Worth {
    /// There is none.
    Absent,
    /// It was used.
    Used,
    /// It was used as the heat of the partial condenser alone.
    UsedAsReflux,
    /// It contradicts the jars and was let go of.
    LetGo,
}

/// One run of the calibration.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CalibratedRun {
    /// Jars that counted.
    pub jars: usize,
    /// Head thermometer.
    pub head: Worth,
    /// Pot thermometer.
    pub pot: Worth,
    /// Coolant as a calorimeter.
    pub coolant: Worth,
    /// Residue.
    pub residue: Worth,
    /// Its charge.
    pub charge: FittedCharge,
    /// Under the joint fit.
    pub fitted: Compared,
    /// Predicted from the fit of the others; none where there are too few.
    pub left_out: Option<Compared>,
}

/// A further run, and what it should tell.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NextRun {
    /// In words.
    pub text: String,
    /// Share of the variance that it should take away, mean over all values.
    pub variance_less: f64,
    /// The value it should tell most about, and the share of that one's variance.
    pub most: (Parameter, f64),
}

/// All that was found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Calibration {
    /// The still with the values found.
    pub still: Still,
    /// The values.
    pub values: Vec<Value>,
    /// Values that go together so closely that these runs cannot tell them apart, with the
    /// correlation.
    pub not_apart: Vec<(Parameter, Parameter, f64)>,
    /// The runs, in the order given.
    pub runs: Vec<CalibratedRun>,
    /// Further runs, the most telling first.
    pub next: Vec<NextRun>,
    /// Weighted sum of squares over the number of measurements that count: 1 = as believed.
    pub misfit: f64,
    /// Starts that came to the same end, of how many.
    pub starts_agree: (usize, usize),
    /// How many simulations it took.
    pub simulations: u64,
}
