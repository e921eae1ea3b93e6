//! The record itself: how it stands, and a person's word that a loss is known.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;

use crate::app::App;
use crate::body::Given;
use crate::problem::{ApiError, Problem};
use crate::wire::standing::{LossAsk, RecordWire};

/// How the record stands: whether anything acknowledged is lost, whether anything is recorded at all.
#[utoipa::path(
    get, path = "/api/record", tag = "server", operation_id = "record",
    responses(
        (status = 200, description = "So it stands", body = RecordWire),
        (status = 503, description = "The record cannot be read", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn record_route(
    State(app): State<Arc<App>>,
) -> Result<Json<RecordWire>, ApiError> {
    stands(&app).await.map(Json)
}

/// Says that every loss found so far is known: an entry of the record, after which `verify` passes
/// again. Sent again it changes nothing.
#[utoipa::path(
    post, path = "/api/record/loss", tag = "server", operation_id = "accept_loss",
    request_body = LossAsk,
    responses(
        (status = 200, description = "Written down, or nothing was lost", body = RecordWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Nothing is recorded now", body = Problem, content_type = "application/problem+json"),
        (status = 507, description = "The disk is full", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn accept_loss_route(
    State(app): State<Arc<App>>,
    Given(ask): Given<LossAsk>,
) -> Result<Json<RecordWire>, ApiError> {
    let now_ms = app.clock.now_ms();
    let accept =
        move |store: &store::Store| store.accept_losses(&ask.reason, ask.by.as_deref(), now_ms);
    if app.own.write(accept).await? > 0 {
        let begun = app.standing.go_through();
        begun.map_err(|error| ApiError::Inside { what: format!("verify: {error}") })?;
    }
    stands(&app).await.map(Json)
}

async fn stands(app: &Arc<App>) -> Result<RecordWire, ApiError> {
    let other = Arc::clone(app);
    let backup = app.backups.trouble();
    let stands = app.own.read(move |store| other.standing.wire(store, other.example.reader()));
    Ok(RecordWire { backup, ..stands.await? })
}
