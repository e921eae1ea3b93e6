//! The pages that everybody may see: how to come in, how to trust the certificate. They are part of
//! the program and hold nothing of the house but its certificate.

use std::sync::Arc;

use axum::extract::State;
use axum::http::{HeaderMap, header};
use axum::response::{IntoResponse, Response};

use crate::app::App;
use crate::problem::ApiError;

fn file(kind: &'static str, text: impl IntoResponse) -> Response {
    ([(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, "no-cache")], text).into_response()
}

/// The page on which a browser is let in.
pub(crate) async fn pair_page() -> Response {
    file("text/html; charset=utf-8", include_str!("pages/pair.html"))
}

/// Its script.
pub(crate) async fn pair_script() -> Response {
    file("text/javascript; charset=utf-8", include_str!("pages/pair.js"))
}

/// Its looks, and those of the page about the certificate.
pub(crate) async fn pair_style() -> Response {
    file("text/css; charset=utf-8", include_str!("pages/pair.css"))
}

fn nothing(path: &str) -> Response {
    ApiError::NoRoute { path: path.to_owned() }.into_response()
}

/// How a device learns to trust the certificate.
pub(crate) async fn trust_page(State(app): State<Arc<App>>, headers: HeaderMap) -> Response {
    let Some(trust) = &app.at_door.trust else { return nothing("/trust") };
    // The guard has checked it: a name or an address of this server.
    let host = headers.get(header::HOST).and_then(|host| host.to_str().ok()).unwrap_or_default();
    let page = include_str!("pages/trust.html")
        .replace("{name}", &trust.name)
        .replace("{fingerprint}", &trust.fingerprint.replace(':', ":\u{200b}"))
        .replace("{place}", &format!("https://{host}/"));
    file("text/html; charset=utf-8", page)
}

/// The certificate of the authority.
pub(crate) async fn trust_certificate(State(app): State<Arc<App>>) -> Response {
    match &app.at_door.trust {
        Some(trust) => file("application/x-x509-ca-cert", trust.der.clone()),
        None => nothing("/trust/authority.crt"),
    }
}
