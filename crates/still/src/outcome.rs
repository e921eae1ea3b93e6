//! What a simulated run gives: times, steps, fractions, balances, rows and warnings.

use serde::{Deserialize, Serialize};
use thermo::Component;

use crate::plan::StepKind;

/// Why a step or the run ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum EndedBy {
    /// Heat: the stages and the drum are full.
    Filled,
    /// Its time was over.
    Minutes,
    /// Its own volume was drawn.
    UntilMl,
    /// The head had risen above the plateau.
    UntilRiseK,
    /// The spirit had weakened to the limit.
    UntilStrengthVol,
    /// The pot had warmed to the limit.
    UntilPotC,
    /// The total volume was drawn.
    UntilTotalMl,
    /// Terminal: the pot's liquid came down to the element cover.
    ElementCover,
    /// Terminal: the pot ran dry.
    PotDry,
    /// Terminal: no vapour reaches the top any more.
    NoVapour,
    /// Live only: a person went on to the next step, or stopped.
    Person,
    /// The run went through its whole plan.
    Plan,
}

impl EndedBy {
    /// Whether nothing more can be run after it.
    #[must_use]
    pub const fn is_terminal(self) -> bool {
        matches!(self, Self::ElementCover | Self::PotDry | Self::NoVapour)
    }

    /// The name used in JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Filled => "filled",
            Self::Minutes => "minutes",
            Self::UntilMl => "until_ml",
            Self::UntilRiseK => "until_rise_k",
            Self::UntilStrengthVol => "until_strength_vol",
            Self::UntilPotC => "until_pot_c",
            Self::UntilTotalMl => "until_total_ml",
            Self::ElementCover => "element_cover",
            Self::PotDry => "pot_dry",
            Self::NoVapour => "no_vapour",
            Self::Person => "person",
            Self::Plan => "plan",
        }
    }

    /// The cause as a person reads it after "ended by".
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Filled => "stages filled",
            Self::Minutes => "its time",
            Self::UntilMl => "its volume",
            Self::UntilRiseK => "rise of the head",
            Self::UntilStrengthVol => "strength of the spirit",
            Self::UntilPotC => "warmth of the pot",
            Self::UntilTotalMl => "volume drawn in all",
            Self::ElementCover => "liquid low over the elements",
            Self::PotDry => "dry pot",
            Self::NoVapour => "no vapour at the top",
            Self::Person => "the person",
            Self::Plan => "the plan",
        }
    }
}

/// One step as it went.
#[derive(Debug, Clone, PartialEq)]
pub struct StepOutcome {
    /// Position in the plan's steps.
    pub index: usize,
    /// What it did.
    pub kind: StepKind,
    /// Seconds from heater on.
    pub start_s: f64,
    /// Seconds from heater on.
    pub end_s: f64,
    /// What ended it.
    pub ended_by: EndedBy,
    /// Heater power, W.
    pub watts: f64,
    /// This step's own fraction, litres at 20 °C (0 where nothing was drawn).
    pub litres_20c: f64,
    /// % vol of this step's own fraction.
    pub strength_vol: Option<f64>,
    /// Litres of pure alcohol in it.
    pub pure_alcohol_l: f64,
    /// Each congener, g per hL of pure alcohol.
    pub congeners_g_per_hl_pa: Option<Vec<(Component, f64)>>,
    /// Head, °C, at its end.
    pub head_end_c: f64,
    /// Pot, °C, at its end.
    pub pot_end_c: f64,
    /// Strength of what is drawn at its end, % vol.
    pub drum_end_vol: Option<f64>,
}

/// One line a minute of the run.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Seconds from heater on.
    pub time_s: f64,
    /// What a perfect head thermometer shows, °C.
    pub head_c: f64,
    /// Pot, °C.
    pub pot_c: f64,
    /// Liquid on the top stage (of a bare pot: the pot), % vol; none before the stages are full.
    pub top_stage_vol: Option<f64>,
    /// What is drawn now, % vol.
    pub distillate_vol: Option<f64>,
    /// Litres at 20 °C drawn so far.
    pub collected_l: f64,
    /// Litres of pure alcohol drawn so far.
    pub pure_alcohol_l: f64,
    /// Vapour leaving the pot, mol/s.
    pub v0_mol_s: f64,
    /// Vapour leaving the top stage, mol/s.
    pub vn_mol_s: f64,
    /// Ethanol in the pot, mole fraction.
    pub pot_x_ethanol: f64,
    /// Litres at 20 °C in the pot.
    pub pot_l: f64,
    /// Take-off, mL/min at 20 °C.
    pub takeoff_ml_per_min: f64,
    /// Each congener drawn so far, mg, in the order of [`Forecast::components`] after ethanol.
    pub congeners_mg: Vec<f64>,
    /// Liquid on each stage from the bottom up, % vol; empty before the stages are full.
    pub stages_vol: Vec<f64>,
}

/// Sums over the run.
#[derive(Debug, Clone, PartialEq)]
pub struct Totals {
    /// Litres at 20 °C of all that was drawn.
    pub litres_20c: f64,
    /// Its strength, % vol.
    pub strength_vol: Option<f64>,
    /// Litres of pure alcohol in it.
    pub pure_alcohol_l: f64,
    /// Litres of liquid at 20 °C left in the pot.
    pub left_in_pot_l: f64,
    /// Strength of what is left in the pot, % vol.
    pub left_in_pot_vol: f64,
    /// Heater energy from heater on, kWh.
    pub energy_kwh: f64,
    /// Coolant used from the boil to the end, L.
    pub coolant_l: f64,
    /// Each congener drawn, mg.
    pub congeners_mg: Vec<(Component, f64)>,
}

/// How well the sums close: (in - out) / in, in moles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// Of ethanol.
    pub ethanol_rel: f64,
    /// Of all moles.
    pub total_rel: f64,
}

/// Something about the plan a person should know before heat.
#[derive(Debug, Clone, PartialEq)]
pub struct Warning {
    /// Stable code, as `charge_over_fill`.
    pub code: &'static str,
    /// One plain sentence.
    pub text: String,
    /// The value found.
    pub value: f64,
    /// The bound it passes.
    pub bound: f64,
}

/// How hard the integrator worked.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Effort {
    /// Accepted steps.
    pub steps: usize,
    /// Rejected steps.
    pub rejected: usize,
    /// Evaluations of the derivative.
    pub derivative_calls: usize,
}

/// A whole simulated run.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// The substances present, water and ethanol first.
    pub components: Vec<Component>,
    /// Seconds from heater on to the boil: coolant must be on before.
    pub boil_s: f64,
    /// Seconds from heater on until the head jumps.
    pub head_jump_s: f64,
    /// Seconds from heater on until the stages are filled.
    pub ready_s: f64,
    /// This run's plateau, °C at its pressure; none where there is none.
    pub plateau_c: Option<f64>,
    /// The steps, heat first, stop left out.
    pub steps: Vec<StepOutcome>,
    /// End of the run, s.
    pub end_s: f64,
    /// Why it ended: `Plan` or a terminal event.
    pub ended_by: EndedBy,
    /// Sums.
    pub totals: Totals,
    /// Balances.
    pub balance: Balance,
    /// Things to know before heat.
    pub warnings: Vec<Warning>,
    /// One a minute from heater on, and the last instant.
    pub rows: Vec<Row>,
    /// Integrator effort.
    pub effort: Effort,
}
