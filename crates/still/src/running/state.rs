//! What a driven still shows at one moment.

use crate::outcome::Balance;
use crate::walk::Observation;

/// What the simulated still shows at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct RunningState {
    /// Run time, s.
    pub time_s: f64,
    /// What a perfect head thermometer shows, °C.
    pub head_c: f64,
    /// Pot, °C.
    pub pot_c: f64,
    /// Strength of what is (or would be) drawn, % vol; none before the stages are full.
    pub drum_vol: Option<f64>,
    /// Litres at 20 °C drawn so far.
    pub collected_l: f64,
    /// Litres of pure alcohol drawn so far.
    pub pure_alcohol_l: f64,
    /// Litres at 20 °C drawn since [`crate::running::RunningStill::begin_step`].
    pub step_l: f64,
    /// Take-off, mL/min at 20 °C.
    pub takeoff_ml_per_min: f64,
    /// Vapour leaving the pot, mol/s.
    pub v0_mol_s: f64,
    /// Vapour leaving the top stage, mol/s.
    pub vn_mol_s: f64,
    /// Litres at 20 °C in the pot.
    pub pot_l: f64,
    /// Strength in the pot, % vol.
    pub pot_vol: f64,
    /// Litres of pure alcohol in the pot.
    pub pot_alcohol_l: f64,
    /// Litres at 20 °C held in column and drum; none before they are full.
    pub held_l: f64,
    /// Litres of pure alcohol held in column and drum.
    pub held_alcohol_l: f64,
    /// What was charged less what is in the pot, held or drawn, in moles: rounding only.
    pub balance: Balance,
    /// Moles in the pot as a share of the charge.
    pub pot_share: f64,
    /// Vapour that reaches the top, mol/s; zero where none does, none where it is still to come.
    pub vapour: Option<f64>,
    /// Liquid on each stage from the bottom up, % vol; empty before the stages are full.
    pub stages_vol: Vec<f64>,
    /// Whether the pot boils.
    pub boiling: bool,
    /// Whether stages and drum are full.
    pub ready: bool,
    /// Coolant outlet, °C.
    pub coolant_out_c: f64,
    /// Heater power, W.
    pub heater_w: f64,
    /// Station pressure, hPa.
    pub pressure_hpa: f64,
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
            time_s: self.time_s,
            step_ml: Some(1000.0 * self.step_l),
            total_ml: Some(1000.0 * self.collected_l),
            drum_vol: self.drum_vol.filter(|_| self.runs()),
            pot_c: Some(self.pot_c),
            head: self.runs().then_some(self.head_c),
            pot_litres: Some(self.pot_l),
            pot_share: Some(self.pot_share),
            vapour: self.vapour,
            filled: self.ready,
            drawing: self.takeoff_ml_per_min > 0.0,
        }
    }
}
