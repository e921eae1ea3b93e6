//! What a driven still shows at one moment.

use quantities::{Power, Pressure, RunTime};

use crate::fraction::Fraction;
use crate::outcome::Balance;
use crate::walk::Observation;

/// What the simulated still shows at one moment. Temperatures are in °C, as probes read them.
#[derive(Debug, Clone, PartialEq)]
pub struct RunningState {
    /// When.
    pub time: RunTime,
    /// What a perfect head thermometer shows, °C.
    pub head_c: f64,
    /// What a perfect thermometer in the column shows, at the place where the plan has it, °C.
    pub column_c: f64,
    /// Pot, °C.
    pub pot_c: f64,
    /// Strength of what is (or would be) drawn, % vol; none before the stages are full.
    pub drum_vol: Option<f64>,
    /// Drawn so far.
    pub drawn: Fraction,
    /// Drawn since [`crate::running::RunningStill::begin_step`].
    pub step: Fraction,
    /// Take-off, mL/min at 20 °C.
    pub takeoff_ml_per_min: f64,
    /// Vapour leaving the top stage, mol/s.
    pub vn_mol_s: f64,
    /// In the pot.
    pub pot: Fraction,
    /// Held in column and drum; nothing before they are full.
    pub held: Fraction,
    /// What was charged less what is in the pot, held or drawn, in moles: rounding only.
    pub balance: Balance,
    /// Moles in the pot as a share of the charge.
    pub pot_share: f64,
    /// Vapour that reaches the top, mol/s; zero where none does, none where it is still to come.
    pub vapour: Option<f64>,
    /// Whether the pot boils.
    pub boiling: bool,
    /// Whether stages and drum are full.
    pub ready: bool,
    /// Coolant outlet, °C.
    pub coolant_out_c: f64,
    /// Heater power.
    pub heater: Power,
    /// Station pressure.
    pub pressure: Pressure,
    /// Whether the pot is down to the element cover: the simulation stands still.
    pub dry: bool,
}

impl RunningState {
    /// Whether vapour reaches the top.
    #[must_use]
    pub fn runs(&self) -> bool {
        self.vapour.is_some_and(|vapour| vapour > 0.0)
    }

    /// What exact probes and jars would tell a walk.
    #[must_use]
    pub fn observation(&self) -> Observation {
        Observation {
            time_s: self.time.seconds(),
            step_ml: Some(1000.0 * self.step.litres_20c),
            total_ml: Some(1000.0 * self.drawn.litres_20c),
            drum_vol: self.drum_vol.filter(|_| self.runs()),
            pot_c: Some(self.pot_c),
            head: self.runs().then_some(self.head_c),
            pot_litres: Some(self.pot.litres_20c),
            pot_share: Some(self.pot_share),
            vapour: self.vapour,
            filled: self.ready,
            drawing: self.takeoff_ml_per_min > 0.0,
        }
    }
}
