//! What is known, for who gathers figures of many programs.

use std::sync::Arc;

use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};

use crate::app::App;
use crate::broker;
use crate::metrics::{MEDIA_TYPE, text};

/// What is known of the runs that are going on, and of the feeds, in the text format of
/// OpenMetrics. A value that is old is not there, only its age.
#[utoipa::path(
    get, path = "/metrics", tag = "server", operation_id = "metrics",
    responses((
        status = 200, description = "What is known now", body = String,
        content_type = "application/openmetrics-text; version=1.0.0; charset=utf-8",
    ))
)]
pub(crate) async fn metrics_route(State(app): State<Arc<App>>) -> Response {
    let (known, _) = broker::known(&app).await;
    let kind = [(header::CONTENT_TYPE, MEDIA_TYPE), (header::CACHE_CONTROL, "no-store")];
    (kind, text(&known, &app.feeding.desks().view())).into_response()
}
