//! What a person records: their acts, and the jars they filled.

use still::plan::{StepKind, TakeOff};

use crate::vessel::VesselRecord;

/// Something the person did. The engine records it; it never does it.
#[derive(Debug, Clone, PartialEq)]
pub enum Action {
    /// The heater was changed to this power, W (0 = off).
    Heater {
        /// New power, W.
        watts: f64,
    },
    /// The take-off was changed, or timed into a jug.
    TakeOff {
        /// New take-off.
        take_off: TakeOff,
        /// Whether it was timed into a jug, not merely set.
        measured: bool,
    },
    /// The coolant was changed to this flow, L/min.
    Coolant {
        /// New flow, L/min.
        l_per_min: f64,
    },
    /// A jar was put under the spout.
    Jar {
        /// Its number.
        number: u32,
    },
    /// A step of the plan was begun.
    Step {
        /// Which kind.
        kind: StepKind,
    },
    /// A glass alcoholometer was read in the spirit now running.
    Gauge {
        /// What it showed, % vol.
        apparent_vol: f64,
        /// Temperature of the spirit, °C.
        celsius: f64,
    },
    /// Liquid that stands in no jar was measured: what stayed in the boiler, feints, a sample.
    Vessel(VesselRecord),
    /// The person is at the still.
    Here,
    /// The person has seen the alarm of this code.
    Seen {
        /// Alarm code.
        code: String,
    },
    /// The person resets the alarm of this code, its cause being gone.
    Reset {
        /// Alarm code.
        code: String,
    },
    /// An alarm of this code is made quiet for a while.
    Quiet {
        /// Alarm code.
        code: String,
        /// For how long, min.
        minutes: f64,
        /// Why.
        reason: String,
    },
    /// A remark.
    Note {
        /// The words.
        text: String,
    },
}

/// An instrument that a jar was gauged with, as it stood then.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GaugedWith {
    /// What it is called.
    pub instrument: String,
    /// Whether its calibration had ended.
    pub overdue: bool,
}

impl GaugedWith {
    /// Its name, and whether it was overdue then.
    #[must_use]
    pub fn words(&self) -> String {
        let mark = if self.overdue { " (overdue then)" } else { "" };
        format!("{}{mark}", self.instrument)
    }
}

/// A jar that was filled, as a person records it afterwards.
#[derive(Debug, Clone, PartialEq)]
pub struct JarRecord {
    /// Its number.
    pub number: u32,
    /// Opened, s.
    pub start_s: f64,
    /// Closed, s.
    pub end_s: f64,
    /// Volume, mL.
    pub volume_ml: f64,
    /// Temperature when gauged, °C.
    pub temperature_c: Option<f64>,
    /// Reading of a 20 °C glass alcoholometer at that temperature, % vol.
    pub apparent_vol: Option<f64>,
    /// Fraction it belongs to.
    pub cut: Option<StepKind>,
    /// The words on its label.
    pub note: String,
    /// What it was gauged with, where that was said.
    pub gauged_with: Option<GaugedWith>,
}
