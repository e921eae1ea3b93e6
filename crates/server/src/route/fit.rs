//! A still fitted to its runs: begin, look, give up, and set aside what came of it.

use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, State};
use axum::http::StatusCode;

use crate::app::App;
use crate::body::Given;
use crate::fit_runs::Fitted;
use crate::problem::{ApiError, Problem};
use crate::wire::calibrated::{FitWire, SetAsideAsk};
use crate::wire::still::KnownStillWire;

/// Fits the person's own still to its runs that are over; what comes of it is kept as what is
/// stated of the still. It goes on by itself.
#[utoipa::path(
    post, path = "/api/stills/{name}/fit", tag = "still", operation_id = "fitStill",
    params(("name" = String, Path, description = "Name of the still, as plans have it")),
    responses(
        (status = 202, description = "It goes on", body = FitWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn fit_route(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
) -> Result<(StatusCode, Json<FitWire>), ApiError> {
    let asked = name.clone();
    let found = app.own.read(move |store| Fitted::of(store, &asked)).await?;
    let found = found.ok_or_else(|| ApiError::NoStill { name: name.clone() })?;
    Ok((StatusCode::ACCEPTED, Json(app.calibrator.begin(&name, found)?)))
}

/// How far the fit of a still has come.
#[utoipa::path(
    get, path = "/api/stills/{name}/fit", tag = "still", operation_id = "fitAt",
    params(("name" = String, Path, description = "Name of the still, as plans have it")),
    responses((status = 200, description = "How far it is", body = FitWire))
)]
pub(crate) async fn fit_at_route(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
) -> Json<FitWire> {
    Json(app.calibrator.at(&name))
}

/// Gives the fit of a still up.
#[utoipa::path(
    delete, path = "/api/stills/{name}/fit", tag = "still", operation_id = "giveFitUp",
    params(("name" = String, Path, description = "Name of the still, as plans have it")),
    responses((status = 200, description = "How it stands now", body = FitWire))
)]
pub(crate) async fn give_fit_up_route(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
) -> Json<FitWire> {
    Json(app.calibrator.give_up(&name))
}

/// Sets the calibration of a still aside: what was stated before is believed again.
#[utoipa::path(
    post, path = "/api/stills/{name}/set_aside", tag = "still", operation_id = "setAside",
    params(("name" = String, Path, description = "Name of the still, as plans have it")),
    request_body = SetAsideAsk,
    responses(
        (status = 200, description = "What is known now", body = KnownStillWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn set_aside_route(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    Given(given): Given<SetAsideAsk>,
) -> Result<Json<KnownStillWire>, ApiError> {
    let (still, now_ms) = (name.clone(), app.clock.now_ms());
    let set_aside = move |store: &store::Store| {
        store.drop_calibration(&still, given.reason.trim(), now_ms)?;
        store.still(&still, false)
    };
    let known = app.own.write(set_aside).await?;
    Ok(Json((&known.ok_or(ApiError::NoStill { name })?).into()))
}
