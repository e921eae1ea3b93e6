//! Stills: what runs taught about them, and the balance of a run that is over.

use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use store::{RunId, StillState};
use tokio::sync::oneshot;

use crate::app::App;
use crate::body::{Asked, Given};
use crate::keeper::Keeper;
use crate::problem::{ApiError, Problem};
use crate::teacher::{must_be_over, no_balance};
use crate::wire::still::{
    ComputingWire, KnownStillWire, ResetAsk, RunBalanceWire, StillAsk, StillsAsk,
};
use crate::wire::twin::Twin;

/// Every still that a run has taught something about.
#[utoipa::path(
    get, path = "/api/stills", tag = "still", operation_id = "stills", params(StillsAsk),
    responses(
        (status = 200, description = "The stills", body = Vec<KnownStillWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn stills_route(
    State(app): State<Arc<App>>,
    Asked(ask): Asked<StillsAsk>,
) -> Result<Json<Vec<KnownStillWire>>, ApiError> {
    let stills = app.record(ask.example).read(store::Store::stills).await?;
    Ok(Json(stills.iter().map(Into::into).collect()))
}

/// What runs taught about a still.
#[utoipa::path(
    get, path = "/api/stills/{name}", tag = "still", operation_id = "still",
    params(("name" = String, Path, description = "Name of the still, as plans have it"), StillAsk),
    responses(
        (status = 200, description = "What is known", body = KnownStillWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn still_route(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    Asked(ask): Asked<StillAsk>,
) -> Result<Json<KnownStillWire>, ApiError> {
    let known = known(app.record(ask.example), name, ask.rehearsed()).await?;
    Ok(Json((&known).into()))
}

async fn known(keeper: &Keeper, name: String, rehearsed: bool) -> Result<StillState, ApiError> {
    let asked = name.clone();
    let found = keeper.read(move |store| store.still(&asked, rehearsed)).await?;
    found.ok_or(ApiError::NoStill { name })
}

/// After a change of hardware: older runs do not count any more, and stay in the record.
#[utoipa::path(
    post, path = "/api/stills/{name}/reset", tag = "still", operation_id = "resetStill",
    params(("name" = String, Path, description = "Name of the still, as plans have it"), StillAsk),
    request_body = ResetAsk,
    responses(
        (status = 200, description = "What is known now", body = KnownStillWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn reset_still_route(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    Asked(ask): Asked<StillAsk>,
    Given(given): Given<ResetAsk>,
) -> Result<Json<KnownStillWire>, ApiError> {
    let (keeper, now_ms) = (app.record(ask.example), app.clock.now_ms());
    let (still, rehearsed) = (name.clone(), ask.rehearsed());
    let reset = move |store: &store::Store| {
        store.reset_still(&still, rehearsed, given.reason.trim(), now_ms)
    };
    keeper.write(reset).await?;
    Ok(Json((&known(keeper, name, rehearsed).await?).into()))
}

/// Where the alcohol of a run that is over went.
#[utoipa::path(
    get, path = "/api/runs/{id}/balance", tag = "run", operation_id = "balance",
    params(("id" = String, Path, description = "Id of the run")),
    responses(
        (status = 200, description = "The balance", body = RunBalanceWire),
        (status = 202, description = "It is being worked out", body = ComputingWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn balance_route(
    State(app): State<Arc<App>>,
    Path(id): Path<String>,
) -> Result<Response, ApiError> {
    let id = RunId::new(&id);
    let example = app.is_example(&id).await?;
    let asked = id.clone();
    if !app.teacher().is_at(&id) {
        let state = app.record(example).read(move |store| store.run(&asked)).await?;
        must_be_over(&state)?;
        if let Some(balance) = state.current_balance() {
            let overdue = state.instruments.overdue();
            let overdue =
                overdue.map(|one| format!("{}: {}", one.probe.column(), one.name)).collect();
            let wire = RunBalanceWire { balance: balance.twin(), overdue };
            return Ok(Json(wire).into_response());
        }
        if let Some(what) = app.teacher().failure(&id, state.last_row_entry) {
            return Err(no_balance(what));
        }
        app.teacher().put(&id, example, None)?;
    }
    let computing = Json(ComputingWire { state: "computing".to_owned() });
    Ok((StatusCode::ACCEPTED, computing).into_response())
}

/// Lets a run that is over teach about its still, and waits for it. A real run does so by itself;
/// a rehearsal teaches only about the simulated still of that name.
#[utoipa::path(
    post, path = "/api/runs/{id}/learn", tag = "run", operation_id = "learn",
    params(("id" = String, Path, description = "Id of the run")),
    responses(
        (status = 200, description = "What is known of the still now", body = KnownStillWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Too many wait", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn learn_route(
    State(app): State<Arc<App>>,
    Path(id): Path<String>,
) -> Result<Json<KnownStillWire>, ApiError> {
    let id = RunId::new(&id);
    let example = app.is_example(&id).await?;
    let (told, learned) = oneshot::channel();
    app.teacher().put(&id, example, Some(told))?;
    learned.await.map_err(|_| ApiError::Busy)??;
    let keeper = app.record(example);
    let state = keeper.read(move |store| store.run(&id)).await?;
    let rehearsed = matches!(state.summary.mode, store::RunMode::Rehearsal { .. });
    Ok(Json((&known(keeper, state.plan.still.name, rehearsed).await?).into()))
}
