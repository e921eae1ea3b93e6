//! What ends a step: its conditions as functions that cross zero upwards.

use crate::outcome::EndedBy;
use crate::plan::{RunPlan, Step};

use super::fraction::Fraction;

/// In a slow phase: how far under its trigger the rise must come to arm it, K.
pub(super) const REARM_K: f64 = 0.02;
/// In a slow phase: time after which the trigger is armed whatever the rise, s.
pub(super) const REARM_LATEST_S: f64 = 900.0;
/// The pot counts as dry at this share of the charge's moles.
const DRY_SHARE: f64 = 0.01;

/// What a condition may look at.
pub(super) struct Moment<'a> {
    /// Moles drawn in this step, and since heat.
    pub(super) step_mol: &'a [f64],
    pub(super) total_mol: &'a [f64],
    /// Moles in the pot.
    pub(super) pot_mol: &'a [f64],
    /// Drum composition.
    pub(super) drum: &'a [f64],
    pub(super) pot_c: f64,
    pub(super) top_vapour_mol_s: f64,
}

/// One condition that ends a step, `minutes` and the rise apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Condition {
    Ml(f64),
    TotalMl(f64),
    StrengthVol(f64),
    PotC(f64),
    ElementCover(f64),
    PotDry(f64),
    NoVapour,
}

impl Condition {
    /// Negative before, zero or more once it is met.
    pub(super) fn value(self, moment: &Moment<'_>) -> f64 {
        match self {
            Self::Ml(limit) => Fraction::of(moment.step_mol).litres_20c * 1000.0 - limit,
            Self::TotalMl(limit) => Fraction::of(moment.total_mol).litres_20c * 1000.0 - limit,
            Self::StrengthVol(limit) => {
                limit - Fraction::of(moment.drum).strength_vol.unwrap_or(0.0)
            }
            Self::PotC(limit) => moment.pot_c - limit,
            Self::ElementCover(limit) => limit - Fraction::of(moment.pot_mol).litres_20c,
            Self::PotDry(limit) => limit - moment.pot_mol.iter().sum::<f64>(),
            Self::NoVapour => -moment.top_vapour_mol_s,
        }
    }

    pub(super) const fn ended_by(self) -> EndedBy {
        match self {
            Self::Ml(_) => EndedBy::UntilMl,
            Self::TotalMl(_) => EndedBy::UntilTotalMl,
            Self::StrengthVol(_) => EndedBy::UntilStrengthVol,
            Self::PotC(_) => EndedBy::UntilPotC,
            Self::ElementCover(_) => EndedBy::ElementCover,
            Self::PotDry(_) => EndedBy::PotDry,
            Self::NoVapour => EndedBy::NoVapour,
        }
    }

    /// The conditions of a step; the terminal ones stand in every step.
    pub(super) fn of(step: &Step, plan: &RunPlan, charge_mol: f64) -> Vec<Self> {
        let given = [
            step.until_ml.map(Self::Ml),
            step.until_total_ml.map(Self::TotalMl),
            step.until_strength_vol.map(Self::StrengthVol),
            step.until_pot_c.map(Self::PotC),
        ];
        let terminal = [
            Self::ElementCover(plan.still.element_cover_litres),
            Self::PotDry(DRY_SHARE * charge_mol),
            Self::NoVapour,
        ];
        given.into_iter().flatten().chain(terminal).collect()
    }
}
