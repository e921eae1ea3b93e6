//! What each may do, in one table.

use axum::http::Method;
use store::access::{DeviceOf, Role};

use super::{Access, Who};
use crate::listen::Peer;
use crate::problem::{ApiError, Refusal};

/// What everybody may look at: how to come in, and whether the server is there.
const OPEN: [&str; 7] = [
    "/pair",
    "/pair.js",
    "/pair.css",
    "/trust",
    "/trust/authority.crt",
    "/favicon.ico",
    "/api/health",
];
/// What everybody may ask for: to be let in, and to be forgotten.
const OPEN_POSTS: [&str; 2] = ["/api/access/pair", "/api/access/leave"];
/// What is reckoned and kept nowhere.
const RECKONED: [&str; 2] = ["/api/bench/", "/api/forecast"];
/// What concerns those who attend alone: who may come in.
const ATTENDANTS: &str = "/api/access/";
/// Where devices of stills send their readings, and those of washes.
const STILLS: (&str, &str) = ("/api/stills/", "/readings");
/// See [`STILLS`].
const WASHES: (&str, &str) = ("/api/washes/", "/probes");

/// Refuses what this one may not do.
pub(crate) fn may(who: &Who, method: &Method, path: &str) -> Result<(), ApiError> {
    let looks = matches!(*method, Method::GET | Method::HEAD);
    let posts = *method == Method::POST;
    if looks && OPEN.contains(&path) || posts && OPEN_POSTS.contains(&path) {
        return Ok(());
    }
    if let Who::Device(device) = who {
        let (before, after) = match device.of {
            DeviceOf::Still(_) => STILLS,
            DeviceOf::Wash(_) => WASHES,
        };
        let sends = posts && path.starts_with(before) && path.ends_with(after);
        let refused = ApiError::Door(Refusal::Device { of: device.of.clone() });
        return if sends { Ok(()) } else { Err(refused) };
    }
    match who.role() {
        None => Err(ApiError::Door(Refusal::NotPaired)),
        Some(Role::Attendant) => Ok(()),
        Some(Role::LookerOn) => {
            let reckons = posts && RECKONED.iter().any(|own| path.starts_with(own));
            let allowed = (looks || reckons) && !path.starts_with(ATTENDANTS);
            if allowed { Ok(()) } else { Err(ApiError::Door(Refusal::LookerOn)) }
        }
    }
}

/// Refuses those who ask too often; this computer itself may.
pub(crate) fn must_be_slow(access: &Access, who: &Who, peer: Peer) -> Result<(), ApiError> {
    let now_ms = access.steady_ms();
    match who {
        Who::Here => Ok(()),
        Who::Person(person) => access.rates().must_ask_slowly(&person.id, now_ms),
        Who::Device(device) => access.rates().must_ask_slowly(&device.id, now_ms),
        Who::Nobody => access.rates().must_knock_slowly(peer.remote.ip(), now_ms),
    }
}

#[cfg(test)]
mod tests {
    use axum::http::Method;
    use store::access::{Device, DeviceOf, Person, Role};

    use super::{Who, may};

    fn person(role: Role) -> Who {
        let (id, name) = ("p".to_owned(), "phone".to_owned());
        Who::Person(Person { id, role, name, made_ms: 0, expires_ms: 1, seen_ms: 0 })
    }

    fn device(of: DeviceOf) -> Who {
        let (id, name) = ("d".to_owned(), "board".to_owned());
        Who::Device(Device { id, of, name, made_ms: 0, seen_ms: None })
    }

    /// Each row: method, path, and whether nobody, a device, a looker-on and an attendant may.
    #[test]
    fn everybody_may_what_the_table_says() {
        let rows = [
            ("GET", "/pair", [true, true, true, true]),
            ("HEAD", "/api/health", [true, true, true, true]),
            ("POST", "/api/access/pair", [true, true, true, true]),
            ("POST", "/api/access/leave", [true, true, true, true]),
            ("GET", "/api/access/pair", [false, false, false, true]),
            ("POST", "/pair", [false, false, false, true]),
            ("GET", "/", [false, false, true, true]),
            ("GET", "/pair/../api/runs", [false, false, true, true]),
            ("GET", "/api/access", [false, false, true, true]),
            ("GET", "/api/access/people", [false, false, false, true]),
            ("POST", "/api/access/codes", [false, false, false, true]),
            ("DELETE", "/api/access/people/p", [false, false, false, true]),
            ("GET", "/api/runs", [false, false, true, true]),
            ("GET", "/api/events", [false, false, true, true]),
            ("POST", "/api/runs", [false, false, false, true]),
            ("POST", "/api/runs/r/actions", [false, false, false, true]),
            ("PUT", "/api/house/own", [false, false, false, true]),
            ("DELETE", "/api/plans", [false, false, false, true]),
            ("PATCH", "/api/anything", [false, false, false, true]),
            ("POST", "/api/bench/gauge", [false, false, true, true]),
            ("POST", "/api/forecast", [false, false, true, true]),
            ("POST", "/api/stills/Copper/readings", [false, true, false, true]),
            ("GET", "/api/stills/Copper/readings", [false, false, true, true]),
            ("POST", "/api/stills/Copper/reset", [false, false, false, true]),
            ("POST", "/api/runs/r/readings", [false, false, false, true]),
            ("POST", "/api/washes/w/probes", [false, false, false, true]),
        ];
        for (method, path, [nobody, a_device, looker_on, attendant]) in rows {
            let method = Method::from_bytes(method.as_bytes()).unwrap();
            let all = [
                (Who::Nobody, nobody),
                (device(DeviceOf::Still("Copper".to_owned())), a_device),
                (person(Role::LookerOn), looker_on),
                (person(Role::Attendant), attendant),
                (Who::Here, attendant),
            ];
            for (who, allowed) in all {
                assert_eq!(may(&who, &method, path).is_ok(), allowed, "{who:?} {method} {path}");
            }
        }
    }

    #[test]
    fn a_device_of_a_wash_may_send_its_readings_and_nothing_else() {
        let who = device(DeviceOf::Wash("Plum".to_owned()));
        let may = |method: Method, path: &str| may(&who, &method, path).is_ok();
        assert!(may(Method::POST, "/api/washes/Plum/probes"));
        assert!(!may(Method::GET, "/api/washes/Plum/probes"));
        for path in ["/api/washes/Plum/readings", "/api/washes", "/api/stills/Plum/readings"] {
            assert!(!may(Method::POST, path), "{path}");
        }
    }
}
