//! Serves the embedded page: entity tags, long caching for hashed names, the way to the first
//! page from any other address.

use axum::body::Body;
use axum::extract::Request;
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};

use crate::problem::ApiError;

/// Vite puts a digest into every name in this folder.
const HASHED_FOLDER: &str = "assets/";

/// Answers everything that is not a route of the API.
pub(crate) async fn page(request: Request) -> Response {
    let path = request.uri().path().trim_start_matches('/').to_owned();
    if path == "api" || path.starts_with("api/") {
        return ApiError::NoRoute { path: request.uri().path().to_owned() }.into_response();
    }
    if request.method() != Method::GET && request.method() != Method::HEAD {
        let (path, method) = (request.uri().path().to_owned(), request.method().to_string());
        return ApiError::Method { path, method }.into_response();
    }
    let wanted = if path.is_empty() { "index.html" } else { path.as_str() };
    // The page keeps its places after `#`; an address without a file ending means the page.
    let names_a_file = wanted.rsplit('/').next().is_some_and(|name| name.contains('.'));
    match ui::asset(wanted) {
        Some(asset) => file(wanted, asset, request.headers()),
        None if !names_a_file => Redirect::temporary("/").into_response(),
        None => ApiError::NoRoute { path: request.uri().path().to_owned() }.into_response(),
    }
}

fn file(path: &str, asset: ui::Asset, asked: &HeaderMap) -> Response {
    let tag = format!("\"{}\"", asset.digest);
    let caching = if path.starts_with(HASHED_FOLDER) {
        "public, max-age=31536000, immutable"
    } else {
        "no-cache"
    };
    let known = asked.get(header::IF_NONE_MATCH).and_then(|value| value.to_str().ok());
    if known.is_some_and(|known| holds(known, &tag)) {
        let headers = [(header::ETAG, tag), (header::CACHE_CONTROL, caching.to_owned())];
        return (StatusCode::NOT_MODIFIED, headers).into_response();
    }
    let headers = [
        (header::ETAG, tag),
        (header::CACHE_CONTROL, caching.to_owned()),
        (header::CONTENT_TYPE, content_type(path).to_owned()),
    ];
    (headers, Body::from(asset.bytes.into_owned())).into_response()
}

/// Whether an `If-None-Match` list holds the tag; the compressed copy's weak tag counts.
fn holds(list: &str, tag: &str) -> bool {
    list.split(',').any(|one| {
        let one = one.trim();
        one == "*" || one.strip_prefix("W/").unwrap_or(one) == tag
    })
}

/// The types of file that a page is made of.
fn content_type(path: &str) -> &'static str {
    match path.rsplit('.').next().unwrap_or_default() {
        "html" => "text/html; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "ico" => "image/x-icon",
        "json" | "map" => "application/json",
        "webmanifest" => "application/manifest+json",
        "woff2" => "font/woff2",
        "txt" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}
