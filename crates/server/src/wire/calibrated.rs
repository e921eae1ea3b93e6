//! Values of a still that several of its runs gave together, on the wire, and how far a fit is.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use store::{CALIBRATED_KEYS, CalibratedNote};
use utoipa::ToSchema;

use super::twin::{Twin, enum_twin, exact_twin};

enum_twin!(
    /// A value that runs are fitted for together.
    ParameterWire, estimate::Parameter,
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
    ChargeStrength
);
exact_twin!(
    /// Middle and 80 % band.
    SpreadWire, estimate::Spread, {
        /// Lower end.
        p10: f64,
        /// Middle.
        p50: f64,
        /// Upper end.
        p90: f64,
    }
);
exact_twin!(
    /// One value with its band.
    CalibratedValueWire, store::CalibratedValue, {
        /// Which.
        of: ParameterWire,
        /// Its middle and band.
        value: SpreadWire,
        /// Whether the runs told it.
        told: bool,
        /// What was believed before; none in a calibration of an earlier version.
        prior: Option<SpreadWire>,
    }
);
exact_twin!(
    /// How a run compares with what the fit of the others foretells.
    LeftOutWire, store::LeftOut, {
        /// Root mean square of the strength's difference, % vol; none where no jar was gauged.
        strength_rms_vol: Option<f64>,
        /// Foretold time over what it took, %.
        end_percent: f64,
        /// Foretold pure alcohol over what came, %.
        alcohol_percent: Option<f64>,
    }
);
exact_twin!(
    /// A run that a calibration rests on.
    CalibratedFromWire, store::CalibratedFrom, {
        /// The run's title.
        title: String,
        /// When it started, as its plan says.
        start: String,
        /// As the fit of the others foretells it.
        left_out: Option<LeftOutWire>,
    }
);
exact_twin!(
    /// Two values that the runs cannot tell apart.
    NotApartWire, store::NotApart, {
        /// One of them.
        one: ParameterWire,
        /// The other.
        other: ParameterWire,
        /// How they go together, -1 to 1.
        correlation: f64,
    }
);
exact_twin!(
    /// A further run, and what it should tell.
    FurtherRunWire, store::FurtherRun, {
        /// In words.
        text: String,
        /// Share of the doubt that it should take away, 0 to 1.
        doubt_less: f64,
        /// The value it should tell most about.
        most: ParameterWire,
    }
);

/// What several runs gave together, believed instead of what was stated before.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct CalibratedWire {
    /// When it was kept, ms UTC.
    pub(crate) stored_ms: i64,
    /// The runs, the oldest first.
    pub(crate) runs: Vec<CalibratedFromWire>,
    /// The values.
    pub(crate) values: Vec<CalibratedValueWire>,
    /// Which of them these runs cannot tell apart.
    pub(crate) not_apart: Vec<NotApartWire>,
    /// Further runs, the most telling first.
    pub(crate) next: Vec<FurtherRunWire>,
    /// The keys of the still that it states, with the values it put there.
    pub(crate) keys: BTreeMap<String, f64>,
}

impl From<&CalibratedNote> for CalibratedWire {
    fn from(note: &CalibratedNote) -> Self {
        let found = &note.calibration;
        let still = serde_json::to_value(&found.still).unwrap_or_default();
        let key = |key: &str| Some((key.to_owned(), still.get(key)?.as_f64()?));
        Self {
            stored_ms: note.stored_ms,
            runs: found.runs.twin(),
            values: found.values.twin(),
            not_apart: found.not_apart.twin(),
            next: found.next.twin(),
            keys: CALIBRATED_KEYS.into_iter().filter_map(key).collect(),
        }
    }
}

/// How far the fit of a still is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum FitStateWire {
    /// None was asked for since the program began.
    Idle,
    /// It goes on.
    Fitting,
    /// It is over, and its values are kept.
    Kept,
    /// It was given up.
    GivenUp,
    /// It gave nothing.
    Failed,
}

/// The fit of a still to its runs: one that goes on, or the last one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub(crate) struct FitWire {
    /// How far it is.
    pub(crate) state: FitStateWire,
    /// Parts of the work that are done.
    pub(crate) done: usize,
    /// Of how many; 0 before it is known.
    pub(crate) of: usize,
    /// Titles of its runs.
    pub(crate) runs: Vec<String>,
    /// Why it gave nothing.
    pub(crate) trouble: Option<String>,
    /// What to do about that.
    pub(crate) hint: Option<String>,
}

impl FitWire {
    /// None was asked for.
    pub(crate) const fn idle() -> Self {
        let (trouble, hint) = (None, None);
        Self { state: FitStateWire::Idle, done: 0, of: 0, runs: Vec::new(), trouble, hint }
    }
}

/// Why a calibration is set aside.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct SetAsideAsk {
    /// Why, in words.
    pub(crate) reason: String,
}
