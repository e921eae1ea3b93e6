//! What really happened in a simulated recording, and the moments at which forecasts are asked for.

use serde::Deserialize;

/// The shares of the hearts at which a forecast is scored.
pub const FRACTIONS: [f64; 5] = [0.05, 0.25, 0.50, 0.75, 0.90];

/// The truth of a recording, as its `outcome.json` holds it; further keys are not read.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Truth {
    /// When hearts began, run time in s.
    pub hearts_start_s: f64,
    /// When hearts really ended, run time in s.
    pub end_of_hearts_s: f64,
    /// Litres of hearts until then, at 20 °C.
    pub hearts_l_20c: f64,
    /// Family of the recording.
    #[serde(default)]
    pub family: Option<String>,
    /// Which probes were there.
    #[serde(default)]
    pub sensors: Option<String>,
    /// The fault, or `none`.
    #[serde(default)]
    pub fault: Option<String>,
    /// When it set in, run time in s.
    #[serde(default)]
    pub fault_start_s: Option<f64>,
    /// What was the matter with the thermometer in the column, or `none`.
    #[serde(default)]
    pub column_fault: Option<String>,
    /// Run time in s and strength in % vol of what left the condenser, in order.
    #[serde(default)]
    pub strength_track: Vec<[f64; 2]>,
    /// Strength of the charge, % vol.
    #[serde(default)]
    pub charge_strength_vol: Option<f64>,
    /// Contact stages.
    #[serde(default)]
    pub stages: Option<f64>,
    /// Murphree vapour efficiency of each.
    #[serde(default)]
    pub efficiency: Option<f64>,
    /// Hold-up, L.
    #[serde(default)]
    pub holdup_litres: Option<f64>,
    /// What the head thermometer reads too high, K.
    #[serde(default)]
    pub head_offset_k: Option<f64>,
    /// What the pot thermometer reads too high, K.
    #[serde(default)]
    pub pot_offset_k: Option<f64>,
}

impl Truth {
    /// How long hearts lasted, s.
    #[must_use]
    pub fn hearts_s(&self) -> f64 {
        self.end_of_hearts_s - self.hearts_start_s
    }

    /// The whole second at which that share of the hearts had passed, run time in s.
    #[must_use]
    pub fn made_at_s(&self, fraction: f64) -> f64 {
        (self.hearts_start_s + fraction * self.hearts_s()).floor()
    }

    /// Strength of what ran at run time `at_s`, % vol; none outside the track.
    #[must_use]
    pub fn strength_at(&self, at_s: f64) -> Option<f64> {
        let pair =
            self.strength_track.windows(2).find(|pair| pair[0][0] <= at_s && at_s <= pair[1][0])?;
        let ([a, x], [b, y]) = (pair[0], pair[1]);
        Some(if b > a { x + (y - x) * (at_s - a) / (b - a) } else { x })
    }

    /// Whether nothing was broken.
    #[must_use]
    pub fn is_healthy(&self) -> bool {
        self.fault.as_deref().is_none_or(|fault| fault == "none")
    }
}
