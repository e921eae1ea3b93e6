//! The apparatus in SI units, and how much is drawn from it.

/// Contacts that lie over a thermometer below a partial condenser: fitted to the heads of five
/// logged runs of a pilot still (data of doi 10.1109/ACCESS.2022.3197604), where the vapour there
/// is 5 to 12 % vol weaker than the spirit; 0.2 to 0.45 from run to run.
const OVER_HEAD_CONTACTS: f64 = 0.35;

/// What the equations need to know of a still.
#[derive(Debug, Clone, PartialEq)]
pub struct Apparatus {
    /// Contact stages; the pot is not one of them.
    pub stages: usize,
    /// Murphree vapour efficiency of each stage.
    pub efficiency: f64,
    /// Liquid on each stage, mol.
    pub stage_mol: f64,
    /// Liquid in the drum, mol.
    pub drum_mol: f64,
    /// Pressure in the drum, Pa.
    pub top_pressure_pa: f64,
    /// Pressure drop per stage, Pa.
    pub pressure_drop_pa: f64,
    /// Heat lost by the boiler, W/K.
    pub boiler_loss_w_k: f64,
    /// Heat lost by the whole column, W/K.
    pub column_loss_w_k: f64,
    /// Ambient temperature, K.
    pub ambient_k: f64,
    /// Heat capacity of the boiler metal, J/K.
    pub boiler_metal_j_k: f64,
    /// Heat capacity of the column metal, J/K.
    pub column_metal_j_k: f64,
    /// Temperature of subcooled reflux, K; none = bubble point.
    pub reflux_k: Option<f64>,
    /// Share of what is drawn that never reaches the receiver.
    pub vapour_lost: f64,
    /// Whether the head thermometer sits below the partial condenser, in the vapour that enters it.
    pub head_below: bool,
    /// Share of the column's height at which the thermometer in it sits.
    pub column_probe: f64,
    /// Textbook limit: this constant vapour flow everywhere, mol/s, instead of a heat balance.
    pub constant_overflow_mol_s: Option<f64>,
}

impl Apparatus {
    /// Share of the top contact that lies over the head thermometer: none, or, where it sits below a
    /// partial condenser, what condenser and head do of the separation.
    pub(crate) fn over_head(&self) -> f64 {
        if self.head_below && self.stages > 0 {
            (OVER_HEAD_CONTACTS / self.efficiency).min(1.0)
        } else {
            0.0
        }
    }

    /// Pressure at node `j` (0 = pot, 1..=N = stages), Pa.
    #[must_use]
    pub fn pressure_pa(&self, node: usize) -> f64 {
        self.top_pressure_pa + (self.stages + 1 - node) as f64 * self.pressure_drop_pa
    }

    /// Liquid in column and drum together, mol.
    #[must_use]
    pub fn holdup_mol(&self) -> f64 {
        self.stages as f64 * self.stage_mol + self.drum_mol
    }

    /// Heat lost by each stage, W/K.
    pub(crate) fn stage_loss_w_k(&self) -> f64 {
        if self.stages == 0 { 0.0 } else { self.column_loss_w_k / self.stages as f64 }
    }
}

/// How much is drawn to the receiver.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Draw {
    /// Nothing: total reflux.
    Closed,
    /// Moles returned per mole drawn.
    Ratio(f64),
    /// Litres a second at 20 °C.
    Rate(f64),
    /// All but what a partial condenser of that duty returns, W.
    Duty(f64),
}
