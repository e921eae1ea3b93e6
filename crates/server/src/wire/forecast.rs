//! A forecast as the API and `middlecut forecast --json` say it.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use still::outcome::{Forecast, Row, StepOutcome, Warning};
use still::plan::{RunPlan, StepKind};
use thermo::Component;
use utoipa::ToSchema;

use super::knowledge::{EndedByWire, JarWire};
use super::plan::{RunPlanWire, StepKindWire};

/// A plan to be forecast.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ForecastAsk {
    /// The plan.
    pub(crate) plan: RunPlanWire,
}

/// A whole simulated run.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct ForecastWire {
    /// What it gives.
    #[serde(flatten)]
    pub(crate) summary: ForecastSummaryWire,
    /// One row a minute from heater on.
    pub(crate) rows: Vec<RowWire>,
    /// The jars it should fill.
    pub(crate) jars: Vec<JarWire>,
}

/// What a simulated run gives.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ForecastSummaryWire {
    /// Minutes from heater on until the stages are filled.
    pub(crate) heat_up_min: f64,
    /// Minutes from heater on to the boil: coolant must be on before.
    pub(crate) coolant_on_min: f64,
    /// Minutes from heater on until vapour warms the head.
    pub(crate) head_jump_min: f64,
    /// This run's plateau, °C; none where there is none.
    pub(crate) plateau_c: Option<f64>,
    /// The steps as they went, `heat` first, `stop` left out.
    pub(crate) steps: Vec<StepOutcomeWire>,
    /// Sums over the run.
    pub(crate) totals: TotalsWire,
    /// How well the sums close.
    pub(crate) balance: BalanceWire,
    /// Things to know before heat.
    pub(crate) warnings: Vec<WarningWire>,
    /// End of the run, s.
    pub(crate) end_s: f64,
    /// Why it ends.
    pub(crate) ended_by: EndedByWire,
}

/// One step as it went.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct StepOutcomeWire {
    /// What it did.
    #[serde(rename = "do")]
    pub(crate) kind: StepKindWire,
    /// What it is called: its kind, or `slow hearts`.
    pub(crate) name: String,
    /// Seconds from heater on.
    pub(crate) start_s: f64,
    /// Seconds from heater on.
    pub(crate) end_s: f64,
    /// What ended it.
    pub(crate) ended_by: EndedByWire,
    /// Heater power, W.
    pub(crate) watts: f64,
    /// Litres at 20 °C of its own fraction; none while it heats up.
    pub(crate) litres_20c: Option<f64>,
    /// % vol of it.
    pub(crate) strength_vol: Option<f64>,
    /// Litres of pure alcohol in it; none while it heats up.
    pub(crate) pure_alcohol_l: Option<f64>,
    /// Each congener, g per hL of pure alcohol.
    pub(crate) congeners_g_per_hl_pa: Option<BTreeMap<String, f64>>,
    /// Head at its end, °C.
    pub(crate) head_end_c: f64,
    /// Pot at its end, °C.
    pub(crate) pot_end_c: f64,
    /// Strength of what is drawn at its end, % vol.
    pub(crate) drum_end_vol: Option<f64>,
}

/// Sums over the run.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct TotalsWire {
    /// Litres at 20 °C of all that was drawn.
    pub(crate) litres_20c: f64,
    /// Its strength, % vol.
    pub(crate) strength_vol: Option<f64>,
    /// Litres of pure alcohol in it.
    pub(crate) pure_alcohol_l: f64,
    /// Litres of liquid at 20 °C left in the pot.
    pub(crate) left_in_pot_l: f64,
    /// Strength of that, % vol.
    pub(crate) left_in_pot_vol: f64,
    /// Heater energy, kWh.
    pub(crate) energy_kwh: f64,
    /// Coolant used from the boil to the end, L.
    pub(crate) coolant_l: f64,
    /// Each congener that was drawn, mg.
    pub(crate) congeners_mg: BTreeMap<String, f64>,
}

/// How well the sums close: (in - out) / in, in moles.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct BalanceWire {
    /// Of ethanol.
    pub(crate) ethanol_rel: f64,
    /// Of all moles.
    pub(crate) total_rel: f64,
}

/// Something about the plan a person should know before heat.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct WarningWire {
    /// Stable code.
    pub(crate) code: String,
    /// One plain sentence.
    pub(crate) text: String,
    /// The value found.
    pub(crate) value: f64,
    /// The bound it passes.
    pub(crate) bound: f64,
}

/// One row a minute.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct RowWire {
    /// Seconds from heater on.
    pub(crate) time_s: f64,
    /// Head, °C.
    pub(crate) head_c: f64,
    /// Pot, °C.
    pub(crate) pot_c: f64,
    /// Liquid on the top stage, % vol.
    pub(crate) top_stage_vol: Option<f64>,
    /// What is drawn, % vol.
    pub(crate) distillate_vol: Option<f64>,
    /// Litres at 20 °C drawn so far.
    pub(crate) collected_l: f64,
    /// Litres of pure alcohol drawn so far.
    pub(crate) pure_alcohol_l: f64,
    /// Take-off, mL/min at 20 °C.
    pub(crate) takeoff_ml_per_min: f64,
    /// Litres at 20 °C in the pot.
    pub(crate) pot_l: f64,
    /// Liquid on each stage from the bottom up, % vol.
    pub(crate) stages_vol: Vec<f64>,
}

impl ForecastWire {
    /// The forecast with the jars it should fill.
    pub(crate) fn new(plan: &RunPlan, forecast: &Forecast, jars: Vec<JarWire>) -> Self {
        Self {
            summary: ForecastSummaryWire::of(plan, forecast),
            rows: forecast.rows.iter().map(Into::into).collect(),
            jars,
        }
    }
}

impl ForecastSummaryWire {
    /// What the forecast of a plan gives.
    #[must_use]
    pub fn of(plan: &RunPlan, forecast: &Forecast) -> Self {
        let totals = &forecast.totals;
        Self {
            heat_up_min: forecast.ready_s / 60.0,
            coolant_on_min: forecast.boil_s / 60.0,
            head_jump_min: forecast.head_jump_s / 60.0,
            plateau_c: forecast.plateau_c,
            steps: forecast.steps.iter().map(|step| StepOutcomeWire::of(plan, step)).collect(),
            totals: TotalsWire {
                litres_20c: totals.litres_20c,
                strength_vol: totals.strength_vol,
                pure_alcohol_l: totals.pure_alcohol_l,
                left_in_pot_l: totals.left_in_pot_l,
                left_in_pot_vol: totals.left_in_pot_vol,
                energy_kwh: totals.energy_kwh,
                coolant_l: totals.coolant_l,
                congeners_mg: by_name(&totals.congeners_mg),
            },
            balance: BalanceWire {
                ethanol_rel: forecast.balance.ethanol_rel,
                total_rel: forecast.balance.total_rel,
            },
            warnings: forecast.warnings.iter().map(Into::into).collect(),
            end_s: forecast.end_s,
            ended_by: forecast.ended_by.into(),
        }
    }
}

/// Each component's figure by its name.
fn by_name(figures: &[(Component, f64)]) -> BTreeMap<String, f64> {
    figures.iter().map(|(component, figure)| (component.name().to_owned(), *figure)).collect()
}

impl StepOutcomeWire {
    fn of(plan: &RunPlan, step: &StepOutcome) -> Self {
        let may_draw = step.kind != StepKind::Heat;
        Self {
            kind: step.kind.into(),
            name: plan.step_name(step.index).to_owned(),
            start_s: step.start_s,
            end_s: step.end_s,
            ended_by: step.ended_by.into(),
            watts: step.watts,
            litres_20c: may_draw.then_some(step.litres_20c),
            strength_vol: step.strength_vol,
            pure_alcohol_l: may_draw.then_some(step.pure_alcohol_l),
            congeners_g_per_hl_pa: step
                .congeners_g_per_hl_pa
                .as_ref()
                .map(|figures| by_name(figures)),
            head_end_c: step.head_end_c,
            pot_end_c: step.pot_end_c,
            drum_end_vol: step.drum_end_vol,
        }
    }
}

impl From<&Warning> for WarningWire {
    fn from(warning: &Warning) -> Self {
        Self {
            code: warning.code.to_owned(),
            text: warning.text.clone(),
            value: warning.value,
            bound: warning.bound,
        }
    }
}

impl From<&Row> for RowWire {
    fn from(row: &Row) -> Self {
        Self {
            time_s: row.time_s,
            head_c: row.head_c,
            pot_c: row.pot_c,
            top_stage_vol: row.top_stage_vol,
            distillate_vol: row.distillate_vol,
            collected_l: row.collected_l,
            pure_alcohol_l: row.pure_alcohol_l,
            takeoff_ml_per_min: row.takeoff_ml_per_min,
            pot_l: row.pot_l,
            stages_vol: row.stages_vol.clone(),
        }
    }
}
