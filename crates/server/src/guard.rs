//! Lets in whom the door lets in, and tells the browser what the page may not do.
//!
//! Any page in a browser can send requests to this computer, and a foreign name can be made to point
//! at it. So the `Host` must be one of the names and addresses at which this connection arrived, and
//! an `Origin`, where there is one, must be that very one.

use std::net::IpAddr;
use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::request::Parts;
use axum::http::uri::Authority;
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};

use crate::access::{Access, ProxyOrigin, Who, may, must_be_slow};
use crate::listen::Peer;
use crate::problem::{ApiError, Refusal};

/// Names that are this computer's own wherever it is asked from itself.
const OWN_NAME: &str = "localhost";
/// By which a browser says from where a request comes (W3C Fetch Metadata).
const FETCH_SITE: &str = "sec-fetch-site";
/// The page on which a browser is paired.
const PAIR: &str = "/pair";
/// The pages on which a browser learns to trust the certificate.
const TRUST: &str = "/trust";
/// Their looks.
const STYLE: &str = "/pair.css";

/// What the page may do: load its own files, talk to its own server, and nothing else. Drawings
/// set style attributes, which hold no code.
const CONTENT_POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
     style-src-attr 'unsafe-inline'; img-src 'self' data:; font-src 'self'; connect-src 'self'; \
     manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'self'; \
     frame-ancestors 'none'";

/// The names this server answers to.
#[derive(Debug, Clone)]
pub(crate) struct OwnNames {
    names: Arc<[String]>,
    proxy: Option<ProxyOrigin>,
}

impl OwnNames {
    /// Those the operator allows, and the proxy's.
    pub(crate) fn with(allowed: &[String], proxy: Option<ProxyOrigin>) -> Self {
        Self { names: allowed.iter().map(|name| name.to_ascii_lowercase()).collect(), proxy }
    }

    fn is_proxy(&self, authority: &str) -> bool {
        self.proxy.as_ref().is_some_and(|proxy| proxy.authority() == authority)
    }

    /// Whether `authority` (`name` or `name:port`) is this server's, asked at that address.
    fn own(&self, authority: &str, asked_at: IpAddr) -> bool {
        let authority = authority.to_ascii_lowercase();
        if self.is_proxy(&authority) {
            return true;
        }
        let name = match authority.rsplit_once(':') {
            Some((name, port)) if port.bytes().all(|b| b.is_ascii_digit()) => name,
            _ => &authority,
        };
        let asked_at = asked_at.to_canonical();
        let bare = name.strip_prefix('[').and_then(|name| name.strip_suffix(']'));
        if let Ok(ip) = bare.unwrap_or(name).parse::<IpAddr>() {
            // Both loopback addresses are this computer's own, whichever was asked.
            let own = ip == asked_at || asked_at.is_loopback() && is_own_loopback(ip);
            return (own && ip.is_ipv6() == bare.is_some()) || self.names.iter().any(|n| n == name);
        }
        (name == OWN_NAME && asked_at.is_loopback()) || self.names.iter().any(|own| own == name)
    }

    fn check(&self, parts: &Parts, peer: Peer) -> Result<(), ApiError> {
        let headers = &parts.headers;
        must_be_clear(parts)?;
        let host = text(headers, &header::HOST).unwrap_or_default();
        if !self.own(&host, peer.local.ip()) {
            return Err(ApiError::Foreign { header: "host", value: host });
        }
        let site = text(headers, &HeaderName::from_static(FETCH_SITE)).unwrap_or_default();
        let foreign_site = !matches!(site.as_str(), "" | "same-origin" | "none");
        if foreign_site && (is_api(parts) || !is_look(&parts.method)) {
            return Err(ApiError::Foreign { header: FETCH_SITE, value: site });
        }
        let Some(origin) = text(headers, &header::ORIGIN) else { return Ok(()) };
        let given = origin.to_ascii_lowercase();
        let own = if self.is_proxy(&host.to_ascii_lowercase()) {
            self.proxy.as_ref().is_some_and(|proxy| proxy.origin() == given)
        } else {
            let scheme = if peer.tls { "https://" } else { "http://" };
            given.strip_prefix(scheme).is_some_and(|bare| bare.eq_ignore_ascii_case(&host))
        };
        if own { Ok(()) } else { Err(ApiError::Foreign { header: "origin", value: origin }) }
    }
}

fn is_own_loopback(ip: IpAddr) -> bool {
    ip == IpAddr::from([127, 0, 0, 1]) || ip == IpAddr::from(std::net::Ipv6Addr::LOCALHOST)
}

/// Refuses a head that a proxy may read in another way than this server.
fn must_be_clear(parts: &Parts) -> Result<(), ApiError> {
    let headers = &parts.headers;
    if headers.contains_key(header::TRANSFER_ENCODING) {
        return Err(ApiError::Door(Refusal::NoLength));
    }
    for (name, what) in [
        (header::HOST, "more than one host is named"),
        (header::ORIGIN, "more than one origin is named"),
        (header::AUTHORIZATION, "more than one token is told"),
        (header::CONTENT_LENGTH, "more than one length is told"),
    ] {
        if headers.get_all(name).iter().count() > 1 {
            return Err(ApiError::Door(Refusal::Ambiguous { what }));
        }
    }
    let named = parts.uri.authority().map(Authority::as_str);
    let host = text(headers, &header::HOST).unwrap_or_default();
    if named.is_some_and(|named| !named.eq_ignore_ascii_case(&host)) {
        return Err(ApiError::Door(Refusal::Ambiguous {
            what: "the address and the host name two servers",
        }));
    }
    Ok(())
}

fn text(headers: &HeaderMap, name: &HeaderName) -> Option<String> {
    headers.get(name).map(|value| String::from_utf8_lossy(value.as_bytes()).into_owned())
}

/// Whether a program asks, which is refused and not shown another page.
fn is_api(parts: &Parts) -> bool {
    let path = parts.uri.path();
    path == "/api" || path.starts_with("/api/") || path == "/metrics"
}

fn is_look(method: &Method) -> bool {
    matches!(*method, Method::GET | Method::HEAD)
}

/// What the guard knows.
#[derive(Debug, Clone)]
pub(crate) struct Door {
    pub(crate) names: OwnNames,
    pub(crate) access: Arc<Access>,
    /// Whether those who come from elsewhere must encipher.
    pub(crate) enciphers: bool,
}

/// Why somebody is not let in, or where they are sent instead.
enum Shut {
    Refused(ApiError),
    Shown(&'static str),
}

impl From<ApiError> for Shut {
    fn from(error: ApiError) -> Self {
        Self::Refused(error)
    }
}

impl IntoResponse for Shut {
    fn into_response(self) -> Response {
        match self {
            Self::Refused(error) => error.into_response(),
            Self::Shown(page) => Redirect::temporary(page).into_response(),
        }
    }
}

impl Door {
    /// Who asks, if they may ask this.
    fn open(&self, parts: &Parts, peer: Peer) -> Result<Who, Shut> {
        self.names.check(parts, peer)?;
        let path = parts.uri.path();
        let looks = is_look(&parts.method) && !is_api(parts);
        let teaches = path == TRUST || path.starts_with("/trust/") || path == STYLE;
        if self.enciphers && !peer.tls && !peer.is_loopback() && !teaches {
            // They cannot trust the certificate before they have it: they are shown how.
            let refused = ApiError::Door(Refusal::Plain);
            return Err(if looks { Shut::Shown(TRUST) } else { refused.into() });
        }
        let who = match self.access.recognise(parts, peer) {
            Ok(who) => who,
            Err(error) => {
                // Guessed tokens are knocks like all others.
                must_be_slow(&self.access, &Who::Nobody, peer)?;
                return Err(error.into());
            }
        };
        must_be_slow(&self.access, &who, peer)?;
        match may(&who, &parts.method, path) {
            Ok(()) => Ok(who),
            Err(ApiError::Door(Refusal::NotPaired)) if looks => Err(Shut::Shown(PAIR)),
            Err(error) => Err(error.into()),
        }
    }
}

/// Checks who asks, and puts the headers on every answer.
pub(crate) async fn guard(State(door): State<Door>, request: Request, next: Next) -> Response {
    let (mut parts, body) = request.into_parts();
    let api = is_api(&parts);
    let peer = parts.extensions.get::<Peer>().copied();
    // Every connection says whose it is.
    let opened = match peer {
        Some(peer) => door.open(&parts, peer),
        None => Err(ApiError::Door(Refusal::NotPaired).into()),
    };
    let mut answer = match opened {
        Ok(who) => {
            parts.extensions.insert(who);
            next.run(Request::from_parts(parts, body)).await
        }
        Err(shut) => shut.into_response(),
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
        // A page that is nothing but print has a policy of its own.
        headers.entry(name).or_insert(HeaderValue::from_static(value));
    }
    if api && !headers.contains_key(header::CACHE_CONTROL) {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    answer
}

#[cfg(test)]
mod tests {
    use std::net::IpAddr;

    use super::OwnNames;
    use crate::access::ProxyOrigin;

    #[test]
    fn only_our_names_pass_where_the_connection_arrived() {
        let proxy = ProxyOrigin::read("https://still.example:8443");
        let names = OwnNames::with(&["still.local".to_owned(), "10.9.9.9".to_owned()], proxy);
        let at = |text: &str| text.parse::<IpAddr>().unwrap();
        let (here, lan, lan6) = (at("127.0.0.1"), at("192.168.1.20"), at("fd00::20"));
        for (own, asked_at) in [
            ("127.0.0.1:4280", here),
            ("localhost", here),
            ("LOCALHOST:80", here),
            ("[::1]:1", here),
            ("[::1]", here),
            ("still.local", here),
            ("still.local:4280", lan),
            ("192.168.1.20:4280", lan),
            ("192.168.1.20", at("::ffff:192.168.1.20")),
            ("[fd00::20]:4280", lan6),
            ("10.9.9.9", lan),
            ("still.example:8443", here),
        ] {
            assert!(names.own(own, asked_at), "{own} at {asked_at}");
        }
        for (foreign, asked_at) in [
            ("evil.example", here),
            ("127.0.0.1.evil.example", here),
            ("", here),
            ("localhost.evil.example:80", here),
            ("127.0.0.2", here),
            ("localhost", lan),
            ("127.0.0.1:4280", lan),
            ("192.168.1.20", here),
            ("192.168.1.21:4280", lan),
            ("evil.example:4280", lan),
            ("fd00::20", lan6),
            ("3232235796", lan),
            ("192.168.1.20.", lan),
            ("still.example", here),
        ] {
            assert!(!names.own(foreign, asked_at), "{foreign} at {asked_at}");
        }
    }
}
