//! Who may come in: codes, sessions, devices.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::{Extension, Json};

use store::access::DeviceOf;

use crate::access::{NAME_BOUND, Who, is_name, qr_svg};
use crate::app::App;
use crate::body::Given;
use crate::listen::Peer;
use crate::problem::{ApiError, Problem, Refusal};
use crate::wire::access::{
    AskerWire, CodeAsk, CodeWire, DeviceAsk, DeviceTokenWire, GuestsWire, LinkWire, PairAsk,
    PersonWire, RoleWire,
};

/// What a browser is called whose name nobody says.
const UNNAMED: &str = "a browser";

/// Lets a browser in for a code, which is used up: the answer sets the cookie of its session.
#[utoipa::path(
    post, path = "/api/access/pair", tag = "access", operation_id = "pair", request_body = PairAsk,
    responses(
        (status = 200, description = "It is let in", body = PersonWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn pair_route(
    State(app): State<Arc<App>>,
    Extension(peer): Extension<Peer>,
    Given(ask): Given<PairAsk>,
) -> Result<Response, ApiError> {
    let name = ask.name.as_deref().map_or(UNNAMED, str::trim);
    if !is_name(name) {
        return Err(ApiError::field("name", name, NAME_BOUND, "or leave it out"));
    }
    let (person, cookie) = app.at_door.access.pair(&ask.code, name, peer)?;
    Ok(([(header::SET_COOKIE, cookie)], Json(PersonWire::from(person))).into_response())
}

/// Ends the session of this browser.
#[utoipa::path(
    post, path = "/api/access/leave", tag = "access", operation_id = "leave",
    responses(
        (status = 204, description = "It has ended"),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn leave_route(
    State(app): State<Arc<App>>,
    Extension(peer): Extension<Peer>,
    Extension(who): Extension<Who>,
) -> Result<Response, ApiError> {
    if let Who::Person(person) = &who {
        app.at_door.access.book().revoke(&person.id)?;
    }
    let cookie = app.at_door.access.forget(peer);
    Ok((StatusCode::NO_CONTENT, [(header::SET_COOKIE, cookie)]).into_response())
}

/// Who asks, and where the server can be reached from other machines.
#[utoipa::path(
    get, path = "/api/access", tag = "access", operation_id = "asker",
    responses(
        (status = 200, description = "Who asks", body = AskerWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn asker_route(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
) -> Result<Json<AskerWire>, ApiError> {
    let role = who.role().map(RoleWire::from).ok_or(Refusal::NotPaired)?;
    let session = match who {
        Who::Person(person) => Some(person.into()),
        _ => None,
    };
    Ok(Json(AskerWire { role, session, places: app.at_door.places.clone() }))
}

/// All who may come in from other machines.
#[utoipa::path(
    get, path = "/api/access/guests", tag = "access", operation_id = "guests",
    responses(
        (status = 200, description = "Sessions and devices", body = GuestsWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn guests_route(
    State(app): State<Arc<App>>,
) -> Result<Json<GuestsWire>, ApiError> {
    guests(&app)
}

fn guests(app: &App) -> Result<Json<GuestsWire>, ApiError> {
    let book = app.at_door.access.book();
    let people = book.people(app.clock.now_ms())?.into_iter().map(Into::into).collect();
    let devices = book.devices()?.into_iter().map(Into::into).collect();
    Ok(Json(GuestsWire { people, devices }))
}

/// Turns a browser or a device out, at once.
#[utoipa::path(
    delete, path = "/api/access/guests/{id}", tag = "access", operation_id = "turnOut",
    params(("id" = String, Path, description = "Id of the session or device")),
    responses(
        (status = 200, description = "Those who are left", body = GuestsWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn turn_out_route(
    State(app): State<Arc<App>>,
    Path(id): Path<String>,
) -> Result<Json<GuestsWire>, ApiError> {
    if app.at_door.access.book().revoke(&id)? {
        return guests(&app);
    }
    Err(Refusal::NoGuest { id: id.chars().take(60).collect() }.into())
}

/// Makes a code that lets one browser in, once, within ten minutes.
#[utoipa::path(
    post, path = "/api/access/codes", tag = "access", operation_id = "makeCode",
    request_body = CodeAsk,
    responses(
        (status = 200, description = "The code, told once", body = CodeWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn code_route(
    State(app): State<Arc<App>>,
    Given(ask): Given<CodeAsk>,
) -> Result<Json<CodeWire>, ApiError> {
    let made = app.at_door.access.door_code(ask.role.into())?;
    let link = |place: &String| {
        let url = made.link(place);
        LinkWire { qr_svg: qr_svg(&url), url }
    };
    let links = app.at_door.places.iter().map(link).collect();
    Ok(Json(CodeWire { role: ask.role, expires_ms: made.expires_ms, links, code: made.code }))
}

/// Makes a token with which a device may send readings of one still or one wash.
#[utoipa::path(
    post, path = "/api/access/devices", tag = "access", operation_id = "makeDevice",
    request_body = DeviceAsk,
    responses(
        (status = 200, description = "The token, told once", body = DeviceTokenWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn device_route(
    State(app): State<Arc<App>>,
    Given(ask): Given<DeviceAsk>,
) -> Result<Json<DeviceTokenWire>, ApiError> {
    let of = match (ask.still, ask.wash) {
        (Some(still), None) => DeviceOf::Still(still),
        (None, Some(wash)) => DeviceOf::Wash(wash),
        (None, None) => {
            let hint = "a still as plans have it, or a wash by its title";
            return Err(ApiError::field("still", "nothing", "or wash must be given", hint));
        }
        (Some(_), Some(wash)) => {
            let hint = "make a token for each of them";
            return Err(ApiError::field("wash", wash, "must not be there beside still", hint));
        }
    };
    let (device, token) = app.at_door.access.device_token(of, &ask.name)?;
    Ok(Json(DeviceTokenWire { device: device.into(), token }))
}
