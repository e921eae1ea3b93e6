//! Instruments of a still on the wire: what reads a channel, and how it was calibrated.

use sense::Probe;
use serde::{Deserialize, Serialize};
use store::{CalibrationPoint, InstrumentCalibrated, KnownInstrument};
use utoipa::{IntoParams, ToSchema};

use super::record::EnteredWire;
use crate::problem::ApiError;
use crate::typed::checked_in;
use crate::unit_words::typed_words;

/// An instrument that reads a channel.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct InstrumentAsk {
    /// Column of the readings, as `head_c`.
    pub(crate) channel: String,
    /// What it is called.
    pub(crate) name: String,
    /// The least step it shows, in the channel's unit.
    #[serde(default)]
    pub(crate) step: Option<f64>,
    /// How far it can be off as its maker says, in the channel's unit.
    #[serde(default)]
    pub(crate) doubt: Option<f64>,
}

/// What an instrument is held against.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum AgainstWire {
    /// Ice that melts in water.
    IcePoint,
    /// Steam over boiling water, at the pressure of the place.
    SteamPoint,
    /// Another instrument that is trusted.
    Reference,
    /// What fits to runs learned.
    Learned,
}

impl AgainstWire {
    const fn word(self) -> &'static str {
        match self {
            Self::IcePoint => "ice_point",
            Self::SteamPoint => "steam_point",
            Self::Reference => "reference",
            Self::Learned => "learned",
        }
    }
}

/// One point of a calibration.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct CalibrationPointAsk {
    /// What it is held against.
    pub(crate) against: AgainstWire,
    /// What the instrument shows, in the channel's unit.
    pub(crate) shown: f64,
    /// With `steam_point`: the pressure of the place, not reduced to sea level, hPa.
    #[serde(default)]
    pub(crate) pressure_hpa: Option<f64>,
    /// With `reference`: what that shows.
    #[serde(default)]
    pub(crate) truth: Option<f64>,
    /// With `learned`: what the instrument shows too much.
    #[serde(default)]
    pub(crate) too_high: Option<f64>,
}

/// A calibration of the instrument that reads a channel.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct CalibrateAsk {
    /// Column of the readings, as `head_c`.
    pub(crate) channel: String,
    /// Where it was held against what, 1 to 8 points.
    pub(crate) points: Vec<CalibrationPointAsk>,
    /// Numbers of the points as they were typed, where that was in other units: `points[0].shown`.
    #[serde(default)]
    pub(crate) entered: Vec<EnteredWire>,
    /// When, RFC 3339; absent = now.
    #[serde(default)]
    pub(crate) at: Option<String>,
    /// When it is due again, RFC 3339.
    #[serde(default)]
    pub(crate) due: Option<String>,
    /// Who did it.
    #[serde(default)]
    pub(crate) by: Option<String>,
    /// A remark.
    #[serde(default)]
    pub(crate) note: Option<String>,
}

/// Which one is meant.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
pub(crate) struct InstrumentOf {
    /// Column of the readings, as `head_c`.
    pub(crate) channel: String,
}

/// One point of a calibration.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct CalibrationPointWire {
    /// What it was held against.
    pub(crate) against: String,
    /// What the instrument showed.
    pub(crate) shown: f64,
    /// What was true.
    pub(crate) truth: f64,
    /// The pressure at the steam point, hPa.
    pub(crate) pressure_hpa: Option<f64>,
}

/// A calibration.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct CalibrationWire {
    /// Number of its entry in the log of the house.
    pub(crate) entry: u64,
    /// When, ms UTC.
    pub(crate) at_ms: i64,
    /// When it was written down, ms UTC.
    pub(crate) stored_ms: i64,
    /// When it is due again, ms UTC.
    pub(crate) due_ms: Option<i64>,
    /// Who did it.
    pub(crate) by: Option<String>,
    /// A remark.
    pub(crate) note: String,
    /// Its points.
    pub(crate) points: Vec<CalibrationPointWire>,
    /// Its numbers as they were typed, where that was in other units; else empty.
    pub(crate) typed: String,
}

/// What runs learned of an instrument: offered, never applied by itself.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub(crate) struct OfferedWire {
    /// What it shows too much, in the channel's unit.
    pub(crate) too_high: f64,
    /// Standard deviation of that.
    pub(crate) sd: f64,
    /// From how many runs.
    pub(crate) runs: usize,
}

/// An instrument of a still.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(crate) struct InstrumentWire {
    /// Column of the readings.
    pub(crate) channel: String,
    /// What is read, in words.
    pub(crate) words: String,
    /// Unit of the channel.
    pub(crate) unit: String,
    /// What it is called.
    pub(crate) name: String,
    /// The least step it shows.
    pub(crate) step: Option<f64>,
    /// How far it can be off as its maker says.
    pub(crate) doubt: Option<f64>,
    /// Whether it should have been calibrated again before now.
    pub(crate) overdue: bool,
    /// Its calibrations, the newest first; the first is in force.
    pub(crate) calibrations: Vec<CalibrationWire>,
    /// What runs since the last of them learned.
    pub(crate) offered: Option<OfferedWire>,
}

impl CalibrateAsk {
    /// How its numbers were typed: what the instrument shows in a unit of its channel.
    pub(crate) fn typed(&self) -> Result<Vec<quantities::TypedValue>, ApiError> {
        let of = Probe::of_column(&self.channel).map(Probe::unit);
        // A difference of temperatures is no temperature: it is typed in kelvins.
        let difference = |one: &&EnteredWire| one.field.ends_with("too_high");
        if let Some(one) = self.entered.iter().find(difference) {
            let bound = "must be in the channel's own unit";
            return Err(ApiError::field("entered", &one.unit, bound, "leave it out of entered"));
        }
        let points = serde_json::json!({ "points": self.points });
        checked_in(&self.entered, &points, |_| of)
    }

    /// Its points as the record takes them.
    pub(crate) fn stored_points(&self) -> Result<Vec<CalibrationPoint>, ApiError> {
        let one = |(place, point): (usize, &CalibrationPointAsk)| {
            let all = [point.pressure_hpa, point.truth, point.too_high];
            let own = match point.against {
                AgainstWire::IcePoint => None,
                AgainstWire::SteamPoint => point.pressure_hpa,
                AgainstWire::Reference => point.truth,
                AgainstWire::Learned => point.too_high,
            };
            if all.iter().flatten().count() != usize::from(own.is_some()) {
                let field = format!("points[{place}]");
                let bound = "must have what goes with its kind and nothing else";
                let hint =
                    "pressure_hpa with steam_point, truth with reference, too_high with learned";
                return Err(ApiError::field(field, point.against.word(), bound, hint));
            }
            let word = point.against.word();
            Ok(CalibrationPoint::given(&self.channel, word, point.shown, own)?)
        };
        self.points.iter().enumerate().map(one).collect()
    }
}

impl InstrumentWire {
    pub(crate) fn of(known: &KnownInstrument, now_ms: i64, offered: Option<OfferedWire>) -> Self {
        let one = &known.instrument;
        let probe = sense::Probe::of_column(&one.channel);
        let calibration = |(entry, stored_ms, one): &(i64, i64, InstrumentCalibrated)| {
            let point = |point: &CalibrationPoint| CalibrationPointWire {
                against: point.against.clone(),
                shown: point.shown,
                truth: point.truth,
                pressure_hpa: point.pressure_hpa,
            };
            CalibrationWire {
                entry: u64::try_from(*entry).unwrap_or_default(),
                at_ms: one.at_ms,
                stored_ms: *stored_ms,
                due_ms: one.due_ms,
                by: one.by.clone(),
                note: one.note.clone(),
                typed: known.typed.get(entry).map_or_else(String::new, |list| typed_words(list)),
                points: one.points.iter().map(point).collect(),
            }
        };
        Self {
            channel: one.channel.clone(),
            words: probe.map_or("", sense::Probe::words).to_owned(),
            unit: probe.map_or("", sense::Probe::unit).to_owned(),
            name: one.name.clone(),
            step: one.step,
            doubt: one.doubt,
            overdue: known.overdue(now_ms),
            calibrations: known.history.iter().rev().map(calibration).collect(),
            offered,
        }
    }
}
