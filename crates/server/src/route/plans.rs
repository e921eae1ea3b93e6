//! Plans kept under a name, the same on every device.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use still::plan::RunPlan;
use store::KeptPlan;

use crate::app::App;
use crate::body::{Asked, Given};
use crate::problem::{ApiError, Problem};
use crate::typed::{checked_in, no_unit};
use crate::wire::house::{KeptPlanAsk, KeptPlanWire};

async fn listed(app: &App) -> Result<Json<Vec<KeptPlanWire>>, ApiError> {
    let plans = app.own.read(store::Store::plans).await?;
    let wire =
        |KeptPlan { name, plan }| KeptPlanWire { name, plan: plan.into(), entered: Vec::new() };
    Ok(Json(plans.into_iter().map(wire).collect()))
}

/// The plans that are kept, by name.
#[utoipa::path(
    get, path = "/api/plans", tag = "plan", operation_id = "plans",
    responses((status = 200, description = "The plans", body = Vec<KeptPlanWire>))
)]
pub(crate) async fn plans_route(
    State(app): State<Arc<App>>,
) -> Result<Json<Vec<KeptPlanWire>>, ApiError> {
    listed(&app).await
}

/// Keeps a plan under a name, in place of one of that name.
#[utoipa::path(
    put, path = "/api/plans", tag = "plan", operation_id = "keepPlan", request_body = KeptPlanWire,
    responses(
        (status = 200, description = "The plans there are now", body = Vec<KeptPlanWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn keep_plan_route(
    State(app): State<Arc<App>>,
    Given(ask): Given<KeptPlanWire>,
) -> Result<Json<Vec<KeptPlanWire>>, ApiError> {
    let typed = checked_in(&ask.entered, &ask.plan, no_unit)?;
    let plan = RunPlan::from(ask.plan);
    plan.check()?;
    let kept = KeptPlan { name: ask.name.trim().to_owned(), plan };
    let now_ms = app.clock.now_ms();
    app.own.write(move |store| store.keep_plan_typed(&kept, typed, now_ms)).await?;
    listed(&app).await
}

/// Keeps a plan no more.
#[utoipa::path(
    delete, path = "/api/plans", tag = "plan", operation_id = "dropPlan", params(KeptPlanAsk),
    responses(
        (status = 200, description = "The plans there are now", body = Vec<KeptPlanWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn drop_plan_route(
    State(app): State<Arc<App>>,
    Asked(ask): Asked<KeptPlanAsk>,
) -> Result<Json<Vec<KeptPlanWire>>, ApiError> {
    let now_ms = app.clock.now_ms();
    app.own.write(move |store| store.drop_plan(&ask.name, now_ms)).await?;
    listed(&app).await
}
