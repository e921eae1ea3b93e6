//! Tells a request of this computer's own from one that a proxy on it passes on. Nothing in a
//! forwarding header is believed; that one is there is enough.

use axum::http::{HeaderMap, header};

/// Names that proxies use, `_` as `-` (RFC 7239, RFC 9110 section 7.6.3, and common use).
const NAMES: [&str; 6] =
    ["forwarded", "via", "x-real-ip", "client-ip", "true-client-ip", "cf-connecting-ip"];
const PREFIX: &str = "x-forwarded";

/// Names of this computer that lead nowhere else, on whatever port: a tunnel may have another.
const HERE: [&str; 3] = ["127.0.0.1", "localhost", "[::1]"];

/// Whether a request that comes from this computer is its own: it names it so, and no proxy has left
/// its mark. A proxy on it asks by another name, or says that it is one.
pub(super) fn asks_here(headers: &HeaderMap) -> bool {
    let host = headers.get(header::HOST).and_then(|host| host.to_str().ok()).unwrap_or_default();
    let name = host.rsplit_once(':').filter(|(_, port)| port.bytes().all(|b| b.is_ascii_digit()));
    let name = name.map_or(host, |(name, _)| name);
    HERE.iter().any(|own| own.eq_ignore_ascii_case(name)) && !is_forwarded(headers)
}

/// Whether somebody else asks through a proxy.
fn is_forwarded(headers: &HeaderMap) -> bool {
    headers.keys().any(|name| {
        let name = name.as_str().replace('_', "-");
        name.starts_with(PREFIX) || NAMES.contains(&name.as_str())
    })
}

#[cfg(test)]
mod tests {
    use axum::http::{HeaderMap, HeaderName, HeaderValue, header};

    use super::asks_here;

    #[test]
    fn a_proxy_is_never_this_computer() {
        let asks = |host: &'static str, more: Option<&'static str>| {
            let mut headers = HeaderMap::new();
            headers.insert(header::HOST, HeaderValue::from_static(host));
            if let Some(name) = more {
                headers
                    .insert(HeaderName::from_static(name), HeaderValue::from_static("127.0.0.1"));
            }
            asks_here(&headers)
        };
        for host in ["127.0.0.1:4280", "localhost", "LOCALHOST:9000", "[::1]:1", "[::1]"] {
            assert!(asks(host, None), "{host}");
        }
        for host in ["still.local", "still.local:4280", "127.0.0.2", "::1", "localhost.", ""] {
            assert!(!asks(host, None), "{host}");
        }
        let marks =
            ["forwarded", "x-forwarded-for", "x_forwarded_for", "via", "x-real-ip", "x-forwarded"];
        for mark in marks {
            assert!(!asks("localhost", Some(mark)), "{mark}");
        }
    }
}
