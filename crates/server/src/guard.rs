//! Lets only this computer's own pages in, and tells the browser what the page may not do.
//!
//! The server listens on loopback, but any page in the same browser can send requests there, and
//! a foreign name can be made to point at 127.0.0.1. So the `Host` must be one of our names, and
//! an `Origin`, where there is one, must be too.

use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::problem::ApiError;

/// Names that are always this computer.
const OWN_NAMES: [&str; 3] = ["127.0.0.1", "localhost", "[::1]"];

/// What the page may do: load its own files, talk to its own server, and nothing else. Drawings
/// set style attributes, which hold no code.
const CONTENT_POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
     style-src-attr 'unsafe-inline'; img-src 'self' data:; font-src 'self'; connect-src 'self'; \
     manifest-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'";

/// The names this server answers to.
#[derive(Debug, Clone)]
pub(crate) struct OwnNames(Arc<[String]>);

impl OwnNames {
    /// Loopback, and whatever the operator allows.
    pub(crate) fn with(allowed: &[String]) -> Self {
        let own = OWN_NAMES.iter().map(|name| (*name).to_owned());
        Self(own.chain(allowed.iter().map(|name| name.to_ascii_lowercase())).collect())
    }

    /// Whether `authority` (`name` or `name:port`) is one of them.
    fn own(&self, authority: &str) -> bool {
        let authority = authority.to_ascii_lowercase();
        let name = match authority.rsplit_once(':') {
            Some((name, port)) if port.bytes().all(|b| b.is_ascii_digit()) => name,
            _ => &authority,
        };
        self.0.iter().any(|own| own == name)
    }

    fn check(&self, request: &Request) -> Result<(), ApiError> {
        let headers = request.headers();
        let host = text(headers, &header::HOST)
            .or_else(|| request.uri().authority().map(|authority| authority.as_str().to_owned()));
        let host = host.unwrap_or_default();
        if !self.own(&host) {
            return Err(ApiError::Foreign { header: "host", value: host });
        }
        let Some(origin) = text(headers, &header::ORIGIN) else { return Ok(()) };
        let bare = origin.strip_prefix("http://").or_else(|| origin.strip_prefix("https://"));
        if bare.is_some_and(|bare| bare.eq_ignore_ascii_case(&host)) {
            Ok(())
        } else {
            Err(ApiError::Foreign { header: "origin", value: origin })
        }
    }
}

fn text(headers: &HeaderMap, name: &HeaderName) -> Option<String> {
    headers.get(name).map(|value| String::from_utf8_lossy(value.as_bytes()).into_owned())
}

/// Checks who asks, and puts the headers on every answer.
pub(crate) async fn guard(State(names): State<OwnNames>, request: Request, next: Next) -> Response {
    let api = request.uri().path().starts_with("/api");
    let mut answer = match names.check(&request) {
        Ok(()) => next.run(request).await,
        Err(refused) => refused.into_response(),
    };
    let headers = answer.headers_mut();
    let fixed = [
        (header::CONTENT_SECURITY_POLICY, CONTENT_POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, "DENY"),
        (header::REFERRER_POLICY, "no-referrer"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ];
    for (name, value) in fixed {
        headers.insert(name, HeaderValue::from_static(value));
    }
    if api && !headers.contains_key(header::CACHE_CONTROL) {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    answer
}

#[cfg(test)]
mod tests {
    use super::OwnNames;

    #[test]
    fn only_our_names_pass_with_or_without_a_port() {
        let names = OwnNames::with(&["still.local".to_owned()]);
        for own in
            ["127.0.0.1:4280", "localhost", "LOCALHOST:80", "[::1]:1", "[::1]", "still.local"]
        {
            assert!(names.own(own), "{own}");
        }
        for foreign in
            ["evil.example", "127.0.0.1.evil.example", "", "localhost.evil.example:80", "127.0.0.2"]
        {
            assert!(!names.own(foreign), "{foreign}");
        }
    }
}
