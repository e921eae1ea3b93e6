//! Instruments of a still and their calibrations, in the log of the house; and in that of a run those
//! it was read with. Payloads of version 6.

use std::collections::BTreeMap;

use quantities::TypedValue;
use sense::instrument::{Against, Correction, InForce, PointFault};
use sense::{Instruments, Probe};
use serde::{Deserialize, Serialize};

use super::act::check_text;
use super::lesson::check_name;
use super::run_id::EntryNumber;
use crate::error::StoreError;
use crate::rows::{RowFault, check_note, check_time, shown};

/// An instrument that reads a channel of a still; one that is stated for the same channel takes its
/// place, and where its name is another, nothing is known of its calibration.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Instrument {
    /// The still.
    pub still: String,
    /// Column of the readings, as `head_c`.
    pub channel: String,
    /// What it is called.
    pub name: String,
    /// The least step it shows, in the channel's unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step: Option<f64>,
    /// How far it can be off as its maker says, in the channel's unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub doubt: Option<f64>,
}

/// One point of a calibration.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CalibrationPoint {
    /// `ice_point`, `steam_point`, `reference` or `learned`.
    pub against: String,
    /// What the instrument showed.
    pub shown: f64,
    /// What was true.
    pub truth: f64,
    /// The pressure at the steam point, hPa.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure_hpa: Option<f64>,
}

/// A calibration of the instrument that reads a channel; the last one of an instrument holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InstrumentCalibrated {
    /// The still.
    pub still: String,
    /// Column of the readings.
    pub channel: String,
    /// The instrument.
    pub name: String,
    /// What it showed and what was true.
    pub points: Vec<CalibrationPoint>,
    /// When, milliseconds of UTC.
    pub at_ms: i64,
    /// When it is due again, milliseconds of UTC.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub due_ms: Option<i64>,
    /// Who did it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// A remark.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// An instrument that reads a channel no more.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InstrumentDropped {
    /// The still.
    pub still: String,
    /// Column of the readings.
    pub channel: String,
}

/// The instruments a run is read with from a run time on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RunInstruments {
    /// Run time, s.
    pub time_s: f64,
    /// All of them; none where there are none any more.
    pub instruments: Vec<RunInstrument>,
}

/// One of them, as far as the run's readings go by it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RunInstrument {
    /// Column of the readings.
    pub channel: String,
    /// What it is called.
    pub name: String,
    /// What it showed and what was true.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<(f64, f64)>,
    /// Whether it should have been calibrated again before.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub overdue: bool,
}

/// An instrument with its last calibration.
#[derive(Debug, Clone, PartialEq)]
pub struct KnownInstrument {
    /// The instrument.
    pub instrument: Instrument,
    /// Its last calibration.
    pub calibrated: Option<InstrumentCalibrated>,
    /// All of them, the entry and when it was written, the oldest first.
    pub history: Vec<(EntryNumber, i64, InstrumentCalibrated)>,
    /// Numbers of a calibration as they were typed, where that was in other units, by its entry.
    pub typed: BTreeMap<EntryNumber, Vec<TypedValue>>,
}

impl KnownInstrument {
    /// Whether it should have been calibrated again by then. One that is never due is not.
    #[must_use]
    pub fn overdue(&self, now_ms: i64) -> bool {
        past_due(self.calibrated.as_ref().and_then(|last| last.due_ms), now_ms)
    }

    /// As a run is read with it.
    #[must_use]
    pub fn of_run(&self, now_ms: i64) -> RunInstrument {
        let points = self.calibrated.iter().flat_map(|last| &last.points);
        RunInstrument {
            channel: self.instrument.channel.clone(),
            name: self.instrument.name.clone(),
            points: points.map(|point| (point.shown, point.truth)).collect(),
            overdue: self.overdue(now_ms),
        }
    }
}

/// Whether what is due at a moment should have been done by another; what is never due need not.
pub(super) fn past_due(due_ms: Option<i64>, now_ms: i64) -> bool {
    due_ms.is_some_and(|due_ms| due_ms <= now_ms)
}

pub(super) fn probe_of(channel: &str) -> Result<Probe, StoreError> {
    Probe::of_column(channel).ok_or_else(|| StoreError::Entry {
        field: "channel",
        value: shown(channel),
        bound: "must be a column of the readings, as head_c",
    })
}

fn fault(probe: Probe, fault: &PointFault) -> StoreError {
    let hint = "in the unit of the channel; a worse instrument is broken";
    let row = |column, value: f64, bound: String| RowFault::new(column, value, bound, hint).into();
    match *fault {
        PointFault::Range { field, value, low, high } => {
            row(field, value, format!("must lie from {low:.2} to {high:.2} {}", probe.unit()))
        }
        PointFault::NoThermometer { channel } => StoreError::Entry {
            field: "against",
            value: channel.to_owned(),
            bound: "must be reference or learned: it reads no temperature",
        },
        PointFault::Points => StoreError::Entry {
            field: "points",
            value: "so".into(),
            bound: "must be 1 to 8, each at another place of the scale",
        },
    }
}

impl CalibrationPoint {
    /// A point as somebody gives it: `given` is the pressure at the steam point, what a reference
    /// shows, or what the instrument was learned to show too much.
    ///
    /// # Errors
    /// [`StoreError::Entry`] and [`StoreError::Row`] naming what cannot be.
    pub fn given(
        channel: &str,
        against: &str,
        shown_value: f64,
        given: Option<f64>,
    ) -> Result<Self, StoreError> {
        let probe = probe_of(channel)?;
        let need = |field| {
            given.ok_or(StoreError::Entry {
                field,
                value: "absent".into(),
                bound: "must be given with it",
            })
        };
        let what = match against {
            "ice_point" => Against::IcePoint,
            "steam_point" => Against::SteamPoint { pressure_hpa: need("pressure_hpa")? },
            "reference" => Against::Reference { truth: need("truth")? },
            "learned" => Against::Learned { too_high: need("too_high")? },
            other => {
                return Err(StoreError::Entry {
                    field: "against",
                    value: shown(other),
                    bound: "must be ice_point, steam_point, reference or learned",
                });
            }
        };
        let truth = what.truth(probe, shown_value).map_err(|what| fault(probe, &what))?;
        let pressure_hpa = given.filter(|_| against == "steam_point");
        Ok(Self { against: against.to_owned(), shown: shown_value, truth, pressure_hpa })
    }
}

impl Instrument {
    pub(super) fn check(&self) -> Result<(), StoreError> {
        check_name(&self.still)?;
        let probe = probe_of(&self.channel)?;
        check_text("name", &self.name)?;
        let (low, high) = probe.possible();
        for (field, value) in [("step", self.step), ("doubt", self.doubt)] {
            if value.is_some_and(|value| !(value > 0.0 && value <= 0.2 * (high - low))) {
                return Err(StoreError::Entry {
                    field,
                    value: value.unwrap_or_default().to_string(),
                    bound: "must be over 0, and at most a fifth of what the channel can show",
                });
            }
        }
        Ok(())
    }
}

impl InstrumentCalibrated {
    pub(super) fn check(&self) -> Result<(), StoreError> {
        check_name(&self.still)?;
        check_text("name", &self.name)?;
        check_note(&self.note)?;
        self.by.as_deref().map_or(Ok(()), |by| check_text("by", by))?;
        let probe = probe_of(&self.channel)?;
        let points = self.points.iter().map(|point| (point.shown, point.truth)).collect();
        Correction::of(probe, points).map_err(|what| fault(probe, &what))?;
        if self.due_ms.is_some_and(|due_ms| due_ms <= self.at_ms) {
            return Err(StoreError::Entry {
                field: "due",
                value: "no later".into(),
                bound: "must be later than the calibration",
            });
        }
        Ok(())
    }
}

impl InstrumentDropped {
    pub(super) fn check(&self) -> Result<(), StoreError> {
        check_name(&self.still)?;
        probe_of(&self.channel).map(drop)
    }
}

impl RunInstruments {
    pub(super) fn check(&self) -> Result<(), StoreError> {
        check_time("time_s", self.time_s)?;
        self.in_force().map(drop)
    }

    /// As the reader takes them.
    ///
    /// # Errors
    /// [`StoreError::Entry`], [`StoreError::Row`] for one that cannot be.
    pub fn in_force(&self) -> Result<Vec<InForce>, StoreError> {
        let one = |one: &RunInstrument| {
            check_text("name", &one.name)?;
            let probe = probe_of(&one.channel)?;
            let correction = match one.points.as_slice() {
                [] => Correction::default(),
                points => {
                    Correction::of(probe, points.to_vec()).map_err(|what| fault(probe, &what))?
                }
            };
            Ok(InForce { name: one.name.clone(), probe, correction, overdue: one.overdue })
        };
        self.instruments.iter().map(one).collect()
    }

    pub(super) fn put_into(&self, all: &mut Instruments) {
        // What was written was checked.
        all.put(self.time_s, self.in_force().unwrap_or_default());
    }
}
