//! What the feeds read: looked at, never changed from here.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;

use crate::app::App;
use crate::wire::feeds::FeedsWire;

/// The feeds as they stand: each source, what it sent last, who speaks, what is wrong.
#[utoipa::path(
    get, path = "/api/feeds", tag = "server", operation_id = "feeds",
    responses((status = 200, description = "The feeds as they stand", body = FeedsWire))
)]
pub(crate) async fn feeds_route(State(app): State<Arc<App>>) -> Json<FeedsWire> {
    Json(FeedsWire::from(app.feeding.desks().view()))
}
