//! A forecast as `middlecut forecast --json` prints it.

use std::collections::BTreeMap;

use advise::Outset;
use quantities::Band;
use serde::Serialize;
use still::outcome::{Forecast, StepOutcome};
use still::plan::RunPlan;

/// The whole object.
#[derive(Debug, Serialize)]
pub(crate) struct ForecastWire {
    heat_up_min: f64,
    coolant_on_min: f64,
    head_jump_min: f64,
    plateau_c: Option<f64>,
    end_s: f64,
    ended_by: &'static str,
    range: Option<RangeWire>,
    steps: Vec<StepWire>,
    totals: TotalsWire,
    balance: BalanceWire,
    warnings: Vec<WarningWire>,
    effort: EffortWire,
}

/// What the doubt about the charge leaves open.
#[derive(Debug, Serialize)]
struct RangeWire {
    hearts_end_s: Band,
    hearts_l: Band,
    end_s: Band,
}

#[derive(Debug, Serialize)]
struct StepWire {
    #[serde(rename = "do")]
    kind: &'static str,
    name: &'static str,
    start_s: f64,
    end_s: f64,
    ended_by: &'static str,
    watts: f64,
    litres_20c: Option<f64>,
    strength_vol: Option<f64>,
    pure_alcohol_l: Option<f64>,
    congeners_g_per_hl_pa: Option<BTreeMap<&'static str, f64>>,
    head_end_c: f64,
    pot_end_c: f64,
    drum_end_vol: Option<f64>,
}

#[derive(Debug, Serialize)]
struct TotalsWire {
    litres_20c: f64,
    strength_vol: Option<f64>,
    pure_alcohol_l: f64,
    left_in_pot_l: f64,
    left_in_pot_vol: f64,
    energy_kwh: f64,
    coolant_l: f64,
    congeners_mg: BTreeMap<&'static str, f64>,
}

#[derive(Debug, Serialize)]
struct BalanceWire {
    ethanol_rel: f64,
    total_rel: f64,
}

#[derive(Debug, Serialize)]
struct WarningWire {
    code: &'static str,
    text: String,
    value: f64,
    bound: f64,
}

#[derive(Debug, Serialize)]
struct EffortWire {
    steps: usize,
    rejected: usize,
    derivative_calls: usize,
}

fn step(plan: &RunPlan, outcome: &StepOutcome) -> StepWire {
    let may_draw = outcome.kind != still::plan::StepKind::Heat;
    let congeners = outcome.congeners_g_per_hl_pa.as_ref();
    StepWire {
        kind: outcome.kind.name(),
        name: plan.step_name(outcome.index),
        start_s: outcome.start_s,
        end_s: outcome.end_s,
        ended_by: outcome.ended_by.name(),
        watts: outcome.watts,
        litres_20c: may_draw.then_some(outcome.litres_20c),
        strength_vol: outcome.strength_vol,
        pure_alcohol_l: may_draw.then_some(outcome.pure_alcohol_l),
        congeners_g_per_hl_pa: congeners
            .map(|list| list.iter().map(|(component, g)| (component.name(), *g)).collect()),
        head_end_c: outcome.head_end_c,
        pot_end_c: outcome.pot_end_c,
        drum_end_vol: outcome.drum_end_vol,
    }
}

impl ForecastWire {
    /// The forecast of a plan, with its range.
    pub(crate) fn of(plan: &RunPlan, forecast: &Forecast, outset: Option<&Outset>) -> Self {
        let totals = &forecast.totals;
        Self {
            heat_up_min: forecast.ready_s / 60.0,
            coolant_on_min: forecast.boil_s / 60.0,
            head_jump_min: forecast.head_jump_s / 60.0,
            plateau_c: forecast.plateau_c,
            end_s: forecast.end_s,
            ended_by: forecast.ended_by.name(),
            range: outset.map(|outset| RangeWire {
                hearts_end_s: outset.hearts_end_s,
                hearts_l: outset.hearts_l,
                end_s: outset.end_s,
            }),
            steps: forecast.steps.iter().map(|outcome| step(plan, outcome)).collect(),
            totals: TotalsWire {
                litres_20c: totals.litres_20c,
                strength_vol: totals.strength_vol,
                pure_alcohol_l: totals.pure_alcohol_l,
                left_in_pot_l: totals.left_in_pot_l,
                left_in_pot_vol: totals.left_in_pot_vol,
                energy_kwh: totals.energy_kwh,
                coolant_l: totals.coolant_l,
                congeners_mg: totals.congeners_mg.iter().map(|(c, mg)| (c.name(), *mg)).collect(),
            },
            balance: BalanceWire {
                ethanol_rel: forecast.balance.ethanol_rel,
                total_rel: forecast.balance.total_rel,
            },
            warnings: forecast
                .warnings
                .iter()
                .map(|warning| WarningWire {
                    code: warning.code,
                    text: warning.text.clone(),
                    value: warning.value,
                    bound: warning.bound,
                })
                .collect(),
            effort: EffortWire {
                steps: forecast.effort.steps,
                rejected: forecast.effort.rejected,
                derivative_calls: forecast.effort.derivative_calls,
            },
        }
    }
}
