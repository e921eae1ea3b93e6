//! How alarms are told further, tried by one key, and looked back at.

use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, State};

use crate::app::App;
use crate::problem::{ApiError, Problem};
use crate::session::Command;
use crate::wire::alarms::{AlarmReviewWire, OutputsWire, TestedWire};

/// The outputs of the program itself: what is set, and what came of each the last time.
#[utoipa::path(
    get, path = "/api/alarms/outputs", tag = "server", operation_id = "alarmOutputs",
    responses((status = 200, description = "The outputs as they stand", body = OutputsWire))
)]
pub(crate) async fn outputs_route(State(app): State<Arc<App>>) -> Json<OutputsWire> {
    Json(OutputsWire::new(&app.alerts))
}

/// Tries each output once and says what came of it. One test at a time: 409 `testing` for another.
#[utoipa::path(
    post, path = "/api/alarms/test", tag = "server", operation_id = "testAlarms",
    responses(
        (status = 200, description = "Tried", body = TestedWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn test_route(State(app): State<Arc<App>>) -> Result<Json<TestedWire>, ApiError> {
    let alerts = Arc::clone(&app.alerts);
    let tested = tokio::task::spawn_blocking(move || alerts.outputs().test()).await;
    let tested = tested.map_err(|error| ApiError::Inside { what: error.to_string() })?;
    let results = tested.ok_or(ApiError::Conflict {
        code: "testing",
        what: "a test of the outputs is under way".to_owned(),
        hint: "wait until it is over; each command is ended after its time limit",
    })?;
    Ok(Json(TestedWire::from(results)))
}

/// The alarms of a run, looked back at: how many an hour, the worst ten, what was made quiet.
#[utoipa::path(
    get, path = "/api/runs/{id}/alarms", tag = "run", operation_id = "runAlarms",
    params(("id" = String, Path, description = "Id of the run")),
    responses(
        (status = 200, description = "The alarms of the run", body = AlarmReviewWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn review_route(
    State(app): State<Arc<App>>,
    Path(id): Path<String>,
) -> Result<Json<AlarmReviewWire>, ApiError> {
    let review = app.session(&id).await?.ask(Command::Alarms).await?;
    Ok(Json(AlarmReviewWire::from(&review)))
}
