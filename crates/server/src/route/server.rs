//! The server itself: that it is there, and what it can be asked.

use std::sync::Arc;

use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use axum::{Extension, Json};
use serde::Serialize;
use utoipa::ToSchema;

use crate::app::App;

/// That the server is there.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct HealthWire {
    /// Always true.
    pub(crate) ok: bool,
    /// Version of the program.
    pub(crate) version: String,
    /// The server's clock, ms UTC.
    pub(crate) now: i64,
}

/// That the server is there.
#[utoipa::path(
    get, path = "/api/health", tag = "server", operation_id = "health",
    responses((status = 200, description = "It is", body = HealthWire))
)]
pub(crate) async fn health_route(State(app): State<Arc<App>>) -> Json<HealthWire> {
    let version = env!("CARGO_PKG_VERSION").to_owned();
    Json(HealthWire { ok: true, version, now: app.clock.now_ms() })
}

/// The document that all routes together make.
#[derive(Debug, Clone)]
pub(crate) struct DocumentText(pub(crate) Arc<str>);

/// What the server can be asked, as OpenAPI 3.1.
#[utoipa::path(
    get, path = "/api/openapi.json", tag = "server", operation_id = "openapi",
    responses((status = 200, description = "This document", body = Object))
)]
pub(crate) async fn openapi_route(Extension(document): Extension<DocumentText>) -> Response {
    let kind = [(header::CONTENT_TYPE, "application/json")];
    (kind, document.0.to_string()).into_response()
}
