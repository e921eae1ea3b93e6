//! The one place where an error becomes an HTTP answer: `application/problem+json` (RFC 9457).
//!
//! What is wrong with the asker's input is said in full; what is wrong inside is logged, and the
//! asker learns only that it was.

use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use still::plan::PlanError;
use utoipa::ToSchema;

mod reckoned;
mod refusal;
mod stored;

pub(crate) use refusal::Refusal;

/// Most characters of a refused value that an answer repeats.
const SHOWN_CHARACTERS_MAX: usize = 80;

/// Everything a route can refuse.
#[derive(Debug, thiserror::Error)]
pub(crate) enum ApiError {
    /// A field is out of range or makes no sense.
    #[error("{field} = {value}: {bound}")]
    Field {
        /// Path of the key.
        field: String,
        /// What stood there.
        value: String,
        /// What is allowed.
        bound: String,
        /// What to do about it.
        hint: String,
    },
    /// The plan breaks a rule.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// The body is no JSON, or not of the shape.
    #[error("{what}")]
    Body {
        /// Path of the key, where it is known.
        field: Option<String>,
        /// What the parser says.
        what: String,
    },
    /// The query after `?` is not of the shape.
    #[error("{what}")]
    Query {
        /// What the parser says.
        what: String,
    },
    /// The body is larger than is read.
    #[error("the body is larger than {bytes_max} bytes")]
    TooLarge {
        /// Bytes that are read at most.
        bytes_max: usize,
    },
    /// The body is not declared as JSON.
    #[error("the content type is {given}")]
    ContentType {
        /// What was declared.
        given: String,
    },
    /// No such address.
    #[error("there is nothing at {path}")]
    NoRoute {
        /// The path asked for.
        path: String,
    },
    /// The address does not take this method.
    #[error("{path} does not take {method}")]
    Method {
        /// The path asked for.
        path: String,
        /// The method used.
        method: String,
    },
    /// A page from elsewhere, or a name that is not this computer's.
    #[error("{header} {value} is not one of this server's own")]
    Foreign {
        /// `host` or `origin`.
        header: &'static str,
        /// What it held.
        value: String,
    },
    /// Refused at the door.
    #[error(transparent)]
    Door(#[from] Refusal),
    /// No such run.
    #[error("there is no run {id}")]
    NoRun {
        /// The id asked for.
        id: String,
    },
    /// No such still.
    #[error("nothing was learned about a still called {name}")]
    NoStill {
        /// The name asked for.
        name: String,
    },
    /// No such wash.
    #[error("there is no wash {id}")]
    NoWash {
        /// The name asked for.
        id: String,
    },
    /// The run does not take this now.
    #[error("{what}")]
    Conflict {
        /// Stable code.
        code: &'static str,
        /// What is the matter.
        what: String,
        /// What to do about it.
        hint: &'static str,
    },
    /// An entry that can be but is unlikely: the question that is asked.
    #[error("{what}")]
    Unlikely {
        /// The question, in words.
        what: String,
        /// What was perhaps meant.
        suggest: Option<f64>,
        /// Which number is doubted: `value`, `celsius`, or a field of a jar.
        field: &'static str,
    },
    /// No plan is kept under that name.
    #[error("no plan is kept under the name {name}")]
    NoPlan {
        /// The name asked for.
        name: String,
    },
    /// The plan keeps every rule but has no run.
    #[error("{what}")]
    Unsimulated {
        /// Stable code.
        code: &'static str,
        /// What is the matter.
        what: String,
        /// What to do about it.
        hint: String,
    },
    /// The disk is full: the entry was not kept.
    #[error("the disk is full: this was not kept")]
    DiskFull,
    /// Another program holds the record: the entry was not kept.
    #[error("another program holds the record: this was not kept")]
    Held,
    /// Nothing is recorded now.
    #[error("{what}")]
    Unrecorded {
        /// Stable code.
        code: &'static str,
        /// Why.
        what: String,
        /// What to do about it.
        hint: String,
    },
    /// Too much is waiting.
    #[error("too much is waiting to be done")]
    Busy,
    /// Something was not computed in time.
    #[error("{what} was not computed in time")]
    TooLong {
        /// What.
        what: String,
    },
    /// Something inside failed; logged.
    #[error("{what}")]
    Inside {
        /// What failed, for the log.
        what: String,
    },
}

/// What an error answer holds.
#[derive(Debug, Serialize, ToSchema)]
pub(crate) struct Problem {
    /// Name of the kind of problem.
    #[serde(rename = "type")]
    pub(crate) kind: String,
    /// The kind in words.
    pub(crate) title: String,
    /// HTTP status.
    pub(crate) status: u16,
    /// Stable code.
    pub(crate) code: String,
    /// What is the matter this time.
    pub(crate) detail: String,
    /// Path of the field that is wrong.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) field: Option<String>,
    /// What stood there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) value: Option<String>,
    /// What is allowed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) bound: Option<String>,
    /// Code `unlikely`: the question in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) what: Option<String>,
    /// Code `unlikely`: what was perhaps meant.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) suggest: Option<f64>,
    /// What to do about it.
    pub(crate) hint: String,
}

impl ApiError {
    /// A refused field.
    pub(crate) fn field(
        field: impl Into<String>,
        value: impl std::fmt::Display,
        bound: impl Into<String>,
        hint: impl Into<String>,
    ) -> Self {
        let value = shown(&value.to_string());
        Self::Field { field: field.into(), value, bound: bound.into(), hint: hint.into() }
    }

    fn class(&self) -> (StatusCode, &'static str, &'static str) {
        match self {
            Self::Field { .. } => {
                (StatusCode::UNPROCESSABLE_ENTITY, "value_out_of_range", "A value is not allowed")
            }
            Self::Plan(_) => {
                (StatusCode::UNPROCESSABLE_ENTITY, "plan_refused", "The plan breaks a rule")
            }
            Self::Body { .. } => {
                (StatusCode::BAD_REQUEST, "body_not_understood", "The body is not understood")
            }
            Self::Query { .. } => {
                (StatusCode::BAD_REQUEST, "query_not_understood", "The query is not understood")
            }
            Self::TooLarge { .. } => {
                (StatusCode::PAYLOAD_TOO_LARGE, "body_too_large", "The body is too large")
            }
            Self::ContentType { .. } => {
                (StatusCode::UNSUPPORTED_MEDIA_TYPE, "not_json", "The body must be JSON")
            }
            Self::NoRoute { .. } => (StatusCode::NOT_FOUND, "no_such_address", "Nothing is here"),
            Self::Method { .. } => {
                (StatusCode::METHOD_NOT_ALLOWED, "method_not_allowed", "Not by this method")
            }
            Self::Foreign { .. } => {
                (StatusCode::FORBIDDEN, "foreign_host", "Not by this name, nor from that page")
            }
            Self::Door(refusal) => refusal.class(),
            Self::NoRun { .. } => (StatusCode::NOT_FOUND, "no_such_run", "There is no such run"),
            Self::NoStill { .. } => {
                (StatusCode::NOT_FOUND, "no_such_still", "There is no such still")
            }
            Self::Conflict { code, .. } => (StatusCode::CONFLICT, code, "Not at this point"),
            Self::Unlikely { .. } => (StatusCode::CONFLICT, "unlikely", "Is it so?"),
            Self::NoWash { .. } => (StatusCode::NOT_FOUND, "no_such_wash", "There is no such wash"),
            Self::NoPlan { .. } => (StatusCode::NOT_FOUND, "no_such_plan", "There is no such plan"),
            Self::Unsimulated { code, .. } => {
                (StatusCode::UNPROCESSABLE_ENTITY, code, "The plan gives no run")
            }
            Self::DiskFull => (StatusCode::INSUFFICIENT_STORAGE, "disk_full", "The disk is full"),
            Self::Held => (StatusCode::SERVICE_UNAVAILABLE, "record_busy", "The record is busy"),
            Self::Unrecorded { code: code @ "disk_full", .. } => {
                (StatusCode::INSUFFICIENT_STORAGE, code, "The disk is full")
            }
            Self::Unrecorded { code, .. } => {
                (StatusCode::SERVICE_UNAVAILABLE, code, "Nothing is recorded")
            }
            Self::Busy => (StatusCode::SERVICE_UNAVAILABLE, "busy", "Too much is waiting"),
            Self::TooLong { .. } => {
                (StatusCode::SERVICE_UNAVAILABLE, "too_long", "This computer takes too long")
            }
            Self::Inside { .. } => (
                StatusCode::INTERNAL_SERVER_ERROR,
                "inside",
                "Something went wrong inside; nothing acknowledged was lost",
            ),
        }
    }

    fn hint(&self) -> String {
        match self {
            Self::Field { hint, .. }
            | Self::Unsimulated { hint, .. }
            | Self::Unrecorded { hint, .. } => hint.clone(),
            Self::Held => "close the other program, then say it again".to_owned(),
            Self::Plan(plan) => plan.hint.clone(),
            Self::Body { .. } | Self::Query { .. } | Self::NoRoute { .. } | Self::Method { .. } => {
                "the addresses and their fields are described at /api/openapi.json".to_owned()
            }
            Self::TooLarge { .. } => "send fewer rows at a time".to_owned(),
            Self::ContentType { .. } => {
                "send the header `content-type: application/json`".to_owned()
            }
            Self::Foreign { .. } => {
                "open the address that the program printed when it started".to_owned()
            }
            Self::Door(refusal) => refusal.hint(),
            Self::NoRun { .. } => "GET /api/runs lists the runs there are".to_owned(),
            Self::NoStill { .. } => {
                "GET /api/stills lists those that a run has taught something about".to_owned()
            }
            Self::Conflict { hint, .. } => (*hint).to_owned(),
            Self::Unlikely { .. } => "send it again with `sure`: true if it is so".to_owned(),
            Self::NoWash { .. } => "GET /api/washes lists the washes there are".to_owned(),
            Self::NoPlan { .. } => "GET /api/plans lists the plans there are".to_owned(),
            Self::DiskFull => "make room, then say it again".to_owned(),
            Self::Busy => "try again in a second".to_owned(),
            Self::TooLong { .. } => {
                "try again in a minute, or with a simpler plan; runs are attended without it"
                    .to_owned()
            }
            Self::Inside { .. } => "the program's own log says more".to_owned(),
        }
    }

    fn problem(&self) -> Problem {
        let (status, code, title) = self.class();
        let (field, value, bound) = match self {
            Self::Field { field, value, bound, .. } => {
                (Some(field.clone()), Some(value.clone()), Some(bound.clone()))
            }
            Self::Plan(plan) => {
                (Some(plan.field.clone()), Some(plan.value.clone()), Some(plan.bound.clone()))
            }
            Self::Body { field, .. } => (field.clone(), None, None),
            Self::Unlikely { field, .. } => (Some((*field).to_owned()), None, None),
            _ => (None, None, None),
        };
        let detail = match self {
            Self::Inside { .. } => title.to_owned(),
            other => other.to_string(),
        };
        let (what, suggest) = match self {
            Self::Unlikely { what, suggest, .. } => (Some(what.clone()), *suggest),
            _ => (None, None),
        };
        Problem {
            kind: format!("/api/problems/{code}"),
            title: title.to_owned(),
            status: status.as_u16(),
            code: code.to_owned(),
            detail,
            field,
            value,
            bound,
            what,
            suggest,
            hint: self.hint(),
        }
    }
}

fn shown(value: &str) -> String {
    let mut short: String = value.chars().take(SHOWN_CHARACTERS_MAX).collect();
    if short.len() < value.len() {
        short.push('…');
    }
    short
}

impl IntoResponse for ApiError {
    fn into_response(self) -> Response {
        if let Self::Inside { what } = &self {
            tracing::error!("{what}");
        }
        let status = self.class().0;
        let mut answer = (status, axum::Json(self.problem())).into_response();
        if let Self::Door(refusal) = &self {
            refusal.mark(answer.headers_mut());
        }
        let kind = HeaderValue::from_static("application/problem+json");
        answer.headers_mut().insert(header::CONTENT_TYPE, kind);
        answer
    }
}
