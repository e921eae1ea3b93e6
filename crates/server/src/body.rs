//! Reads what was asked: a JSON body of bounded size and known keys, a query of known keys.

use std::time::Duration;

use axum::body::to_bytes;
use axum::extract::{FromRequest, FromRequestParts, Query, Request};
use axum::http::header;
use axum::http::request::Parts;
use serde::de::DeserializeOwned;

use crate::access::Who;
use crate::problem::{ApiError, Refusal};

/// Largest body that is read: 2 MB.
pub(crate) const BODY_BYTES_MAX: usize = 2_000_000;
/// How long a body may take (judgement: the largest one over a slow radio link).
const BODY_READ_MAX: Duration = Duration::from_secs(20);
/// Largest body of somebody who was not let in, and how long it may take: a code is all they can send.
const STRANGERS_BYTES_MAX: usize = 4096;
const STRANGERS_READ_MAX: Duration = Duration::from_secs(5);

/// A JSON body. Only `application/json` is taken, which a form of another site cannot send.
#[derive(Debug)]
pub(crate) struct Given<T>(pub(crate) T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequest<S> for Given<T> {
    type Rejection = ApiError;

    async fn from_request(request: Request, _state: &S) -> Result<Self, ApiError> {
        let given = request.headers().get(header::CONTENT_TYPE);
        let given = given.and_then(|value| value.to_str().ok()).unwrap_or("(none)").to_owned();
        let kind = given.split(';').next().unwrap_or_default().trim().to_ascii_lowercase();
        if kind != "application/json" {
            return Err(ApiError::ContentType { given });
        }
        let (bytes_max, wait) = match request.extensions().get() {
            Some(Who::Nobody) => (STRANGERS_BYTES_MAX, STRANGERS_READ_MAX),
            _ => (BODY_BYTES_MAX, BODY_READ_MAX),
        };
        // What says that it is too large is not waited for.
        let told = request.headers().get(header::CONTENT_LENGTH);
        let told = told.and_then(|value| value.to_str().ok()?.parse::<u64>().ok());
        if told.is_some_and(|bytes| bytes > bytes_max as u64) {
            return Err(ApiError::TooLarge { bytes_max });
        }
        let bytes = tokio::time::timeout(wait, to_bytes(request.into_body(), bytes_max))
            .await
            .map_err(|_| Refusal::SlowBody { wait_s: wait.as_secs() })?
            .map_err(|_| ApiError::TooLarge { bytes_max })?;
        parse(&bytes).map(Self)
    }
}

/// Reads one JSON value and nothing after it; an error names the path of the key.
fn parse<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, ApiError> {
    let mut reader = serde_json::Deserializer::from_slice(bytes);
    let value = serde_path_to_error::deserialize(&mut reader).map_err(|error| {
        let path = error.path().to_string();
        let field = (path != ".").then_some(path);
        ApiError::Body { field, what: error.into_inner().to_string() }
    })?;
    reader.end().map_err(|error| ApiError::Body { field: None, what: error.to_string() })?;
    Ok(value)
}

/// What stands after `?`.
#[derive(Debug)]
pub(crate) struct Asked<T>(pub(crate) T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequestParts<S> for Asked<T> {
    type Rejection = ApiError;

    async fn from_request_parts(parts: &mut Parts, _state: &S) -> Result<Self, ApiError> {
        Query::try_from_uri(&parts.uri)
            .map(|Query(value)| Self(value))
            .map_err(|error| ApiError::Query { what: error.body_text() })
    }
}

#[cfg(test)]
mod tests {
    use axum::body::{Body, Bytes};
    use axum::extract::{FromRequest, Request};
    use serde_json::Value;
    use tokio_stream::StreamExt;

    use super::Given;
    use crate::problem::{ApiError, Refusal};

    #[tokio::test]
    async fn a_body_that_says_it_is_too_large_is_refused_before_it_comes() {
        let body = Body::from_stream(tokio_stream::pending::<std::io::Result<Bytes>>());
        let request = Request::post("/").header("content-type", "application/json");
        let request = request.header("content-length", "3000000").body(body).unwrap();
        let given = Given::<Value>::from_request(request, &()).await;
        assert!(matches!(given, Err(ApiError::TooLarge { .. })), "{given:?}");
    }

    #[tokio::test(start_paused = true)]
    async fn a_body_that_never_ends_is_given_up() {
        let begun = tokio_stream::once(Ok::<_, std::io::Error>(Bytes::from_static(b"{")));
        let body = Body::from_stream(begun.chain(tokio_stream::pending()));
        let request = Request::post("/").header("content-type", "application/json");
        let given = Given::<Value>::from_request(request.body(body).unwrap(), &()).await;
        assert!(matches!(given, Err(ApiError::Door(Refusal::SlowBody { .. }))), "{given:?}");
    }
}
