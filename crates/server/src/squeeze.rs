//! Squeezes a feed message by message: each is sent at once, and said by what the ones before had.

use std::io::{self, Write};

use axum::body::{Body, Bytes};
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::Response;
use flate2::Compression;
use flate2::write::GzEncoder;
use tokio_stream::StreamExt;

/// Whether whoever asks takes gzip.
pub(crate) fn is_taken(headers: &HeaderMap) -> bool {
    let named = headers.get_all(header::ACCEPT_ENCODING).iter();
    let mut ways = named.filter_map(|value| value.to_str().ok()).flat_map(|text| text.split(','));
    ways.any(|way| {
        let mut words = way.split(';').map(str::trim);
        let gzip = words.next().is_some_and(|name| name.eq_ignore_ascii_case("gzip"));
        // A weight of nought means that it is not taken.
        let refused = words.any(|word| {
            word.strip_prefix("q=").and_then(|weight| weight.parse::<f64>().ok()) == Some(0.0)
        });
        gzip && !refused
    })
}

/// The same answer, squeezed.
pub(crate) fn squeezed(answer: Response) -> Response {
    let (mut parts, body) = answer.into_parts();
    let mut gzip = GzEncoder::new(Vec::new(), Compression::default());
    let feed = body.into_data_stream().map(move |message| {
        gzip.write_all(&message.map_err(io::Error::other)?)?;
        gzip.flush()?;
        Ok::<_, io::Error>(Bytes::from(std::mem::take(gzip.get_mut())))
    });
    parts.headers.insert(header::CONTENT_ENCODING, HeaderValue::from_static("gzip"));
    parts.headers.insert(header::VARY, HeaderValue::from_static("accept-encoding"));
    Response::from_parts(parts, Body::from_stream(feed))
}

#[cfg(test)]
mod tests {
    use axum::http::{HeaderMap, HeaderValue, header};

    #[test]
    fn gzip_is_taken_where_it_is_named_and_not_refused() {
        for (given, taken) in [
            ("gzip, deflate, br", true),
            ("br;q=1.0, GZIP;q=0.5", true),
            ("gzip;q=0", false),
            ("identity", false),
            ("", false),
        ] {
            let mut headers = HeaderMap::new();
            headers.insert(header::ACCEPT_ENCODING, HeaderValue::from_static(given));
            assert_eq!(super::is_taken(&headers), taken, "{given}");
        }
    }
}
