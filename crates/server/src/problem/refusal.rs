//! What is refused before any route is asked: who may not come in, and how nobody may ask.

use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use store::access::DeviceOf;

/// Why the door stays shut.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Refusal {
    /// A request whose head a proxy and this server could read in two ways.
    #[error("{what}")]
    Ambiguous {
        /// What is the matter.
        what: &'static str,
    },
    /// The length of the body is not told beforehand.
    #[error("the body comes in pieces of unknown length")]
    NoLength,
    /// The body did not come in time.
    #[error("the body did not come within {wait_s} s")]
    SlowBody {
        /// How long it was waited for, s.
        wait_s: u64,
    },
    /// Nobody knows who asks.
    #[error("this browser is not paired, or its session has ended")]
    NotPaired,
    /// A code that is wrong, used or too old.
    #[error("this code is wrong, was used, or is too old")]
    BadCode,
    /// A token that is wrong or was revoked.
    #[error("this token is wrong or was revoked")]
    BadToken,
    /// A looker-on wants to record.
    #[error("a looker-on sees and records nothing")]
    LookerOn,
    /// A device wants something else than to send readings of its still or wash.
    #[error("this token may send readings of the {}, and nothing else", of.words())]
    Device {
        /// What it may send readings of.
        of: DeviceOf,
    },
    /// Plain where only enciphered requests are answered.
    #[error("only enciphered requests are answered here")]
    Plain,
    /// Somebody asks too often.
    #[error("too many requests")]
    TooOften {
        /// How long to wait, s.
        wait_s: u64,
    },
    /// Nobody of that id may come in.
    #[error("there is no session and no device {id}")]
    NoGuest {
        /// The id asked for.
        id: String,
    },
}

impl Refusal {
    /// Status, stable code, title.
    pub(super) const fn class(&self) -> (StatusCode, &'static str, &'static str) {
        match self {
            Self::Ambiguous { .. } => {
                (StatusCode::BAD_REQUEST, "ambiguous_request", "It can be read in two ways")
            }
            Self::NoLength => {
                (StatusCode::LENGTH_REQUIRED, "length_required", "The length must be told")
            }
            Self::SlowBody { .. } => {
                (StatusCode::REQUEST_TIMEOUT, "body_too_slow", "The body came too slowly")
            }
            Self::NotPaired => (StatusCode::UNAUTHORIZED, "not_paired", "Nobody knows who asks"),
            Self::BadCode => (StatusCode::FORBIDDEN, "code_refused", "The code lets nobody in"),
            Self::BadToken => (StatusCode::UNAUTHORIZED, "token_refused", "The token is not known"),
            Self::LookerOn => (StatusCode::FORBIDDEN, "looker_on", "Not as a looker-on"),
            Self::Device { .. } => {
                (StatusCode::FORBIDDEN, "device_elsewhere", "Not with this token")
            }
            Self::Plain => (StatusCode::FORBIDDEN, "plain_http", "Only enciphered"),
            Self::TooOften { .. } => {
                (StatusCode::TOO_MANY_REQUESTS, "too_many_requests", "Too many requests")
            }
            Self::NoGuest { .. } => (StatusCode::NOT_FOUND, "no_such_guest", "Nobody has this id"),
        }
    }

    /// What to do about it.
    pub(super) fn hint(&self) -> String {
        let fixed = match self {
            Self::Ambiguous { .. } => "send one name, one origin, one length and one token",
            Self::NoLength => "send the header `content-length`",
            Self::SlowBody { .. } => "send it again, in smaller parts",
            Self::NotPaired => {
                "open /pair with a code; `middlecut access code` at the still makes one"
            }
            Self::BadCode => "`middlecut access code` makes a new one; it is used once, soon",
            Self::BadToken => "`middlecut access device` makes a new one",
            Self::LookerOn => "let an attendant do it, or pair with an attendant's code",
            Self::Device { of: DeviceOf::Still(_) } => {
                "POST /api/stills/NAME/readings, NAME being its still"
            }
            Self::Device { of: DeviceOf::Wash(_) } => {
                "POST /api/washes/NAME/probes, NAME being its wash"
            }
            Self::Plain => "open the same address with https; /trust says how",
            Self::TooOften { wait_s } => return format!("wait {wait_s} s, then ask more slowly"),
            Self::NoGuest { .. } => "GET /api/access/guests lists them",
        };
        fixed.to_owned()
    }

    /// Headers that go with it.
    pub(super) fn mark(&self, headers: &mut HeaderMap) {
        match self {
            Self::TooOften { wait_s } => {
                headers.insert(header::RETRY_AFTER, HeaderValue::from(*wait_s));
            }
            Self::NotPaired | Self::BadToken => {
                headers.insert(header::WWW_AUTHENTICATE, HeaderValue::from_static("Bearer"));
            }
            // What follows such a head on the same connection may be part of it.
            Self::Ambiguous { .. } | Self::NoLength | Self::SlowBody { .. } => {
                headers.insert(header::CONNECTION, HeaderValue::from_static("close"));
            }
            _ => {}
        }
    }
}
