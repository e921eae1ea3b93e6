//! Instruments of a still: stated, calibrated, listed with what runs learned of them.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::{Extension, Json};
use store::{Instrument, InstrumentCalibrated};

use crate::access::Who;
use crate::app::App;
use crate::body::{Asked, Given};
use crate::problem::{ApiError, Problem};
use crate::session::Command;
use crate::wire::instrument::{
    CalibrateAsk, InstrumentAsk, InstrumentOf, InstrumentWire, OfferedWire,
};

async fn listed(app: &App, still: String) -> Result<Json<Vec<InstrumentWire>>, ApiError> {
    let now_ms = app.clock.now_ms();
    let (known, offers) = app
        .own
        .read(move |store| Ok((store.instruments(&still)?, store.offered_offsets(&still)?)))
        .await?;
    let wire = |one: &store::KnownInstrument| {
        let of = offers.iter().find(|offer| offer.channel == one.instrument.channel);
        let offered = of.map(|of| OfferedWire { too_high: of.too_high, sd: of.sd, runs: of.runs });
        InstrumentWire::of(one, now_ms, offered)
    };
    Ok(Json(known.iter().map(wire).collect()))
}

/// Tells the runs of a still that its instruments were changed.
pub(super) async fn tell(app: &App, still: &str) {
    for run in app.sessions.real() {
        if run.still() == Some(still) {
            // One that is busy or over finds them when it is opened again.
            let _ = run.ask(Command::Instruments).await;
        }
    }
}

/// The instruments of a still, with their calibrations and what runs learned of them.
#[utoipa::path(
    get, path = "/api/stills/{name}/instruments", tag = "still", operation_id = "instruments",
    params(("name" = String, Path, description = "Name of the still, as plans have it")),
    responses(
        (status = 200, description = "The instruments", body = Vec<InstrumentWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn instruments_route(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
) -> Result<Json<Vec<InstrumentWire>>, ApiError> {
    listed(&app, name).await
}

/// States the instrument that reads a channel, in place of one of another name.
#[utoipa::path(
    put, path = "/api/stills/{name}/instruments", tag = "still", operation_id = "stateInstrument",
    request_body = InstrumentAsk,
    params(("name" = String, Path, description = "Name of the still, as plans have it")),
    responses(
        (status = 200, description = "The instruments there are now", body = Vec<InstrumentWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn state_instrument_route(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    Given(ask): Given<InstrumentAsk>,
) -> Result<Json<Vec<InstrumentWire>>, ApiError> {
    let now_ms = app.clock.now_ms();
    let InstrumentAsk { channel, name: called, step, doubt } = ask;
    let called = called.trim().to_owned();
    let one = Instrument { still: name.clone(), channel, name: called, step, doubt };
    app.own.write(move |store| store.state_instrument(one.clone(), now_ms)).await?;
    tell(&app, &name).await;
    listed(&app, name).await
}

/// Keeps a calibration of the instrument that reads a channel. It is in force from now on, in the
/// run of the still that is going on too; what was read before stays as it was reckoned with.
#[utoipa::path(
    post, path = "/api/stills/{name}/instruments", tag = "still", operation_id = "calibrateInstrument",
    request_body = CalibrateAsk,
    params(("name" = String, Path, description = "Name of the still, as plans have it")),
    responses(
        (status = 200, description = "The instruments as they are now", body = Vec<InstrumentWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn calibrate_instrument_route(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    Path(name): Path<String>,
    Given(ask): Given<CalibrateAsk>,
) -> Result<Json<Vec<InstrumentWire>>, ApiError> {
    let now_ms = app.clock.now_ms();
    let points = ask.stored_points()?;
    let typed = ask.typed()?;
    let at_ms = ask.at.as_deref().map(|at| moment("at", at)).transpose()?.unwrap_or(now_ms);
    let due_ms = ask.due.as_deref().map(|at| moment("due", at)).transpose()?;
    let by = who.signs(ask.by);
    let (still, channel, note) = (name.clone(), ask.channel, ask.note.unwrap_or_default());
    let kept = move |store: &store::Store| {
        let known = store.instruments(&still)?;
        let of = known.iter().find(|one| one.instrument.channel == channel);
        let called = of.map(|one| one.instrument.name.clone()).unwrap_or_default();
        let (still, channel, points) = (still.clone(), channel.clone(), points.clone());
        let (by, note) = (by.clone(), note.clone());
        let one =
            InstrumentCalibrated { still, channel, name: called, points, at_ms, due_ms, by, note };
        store.calibrate_instrument(one, typed, now_ms)
    };
    app.own.write(kept).await?;
    tell(&app, &name).await;
    listed(&app, name).await
}

/// The instrument of a channel reads it no more.
#[utoipa::path(
    delete, path = "/api/stills/{name}/instruments", tag = "still", operation_id = "dropInstrument",
    params(("name" = String, Path, description = "Name of the still, as plans have it"), InstrumentOf),
    responses(
        (status = 200, description = "The instruments there are now", body = Vec<InstrumentWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn drop_instrument_route(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    Asked(ask): Asked<InstrumentOf>,
) -> Result<Json<Vec<InstrumentWire>>, ApiError> {
    let now_ms = app.clock.now_ms();
    let still = name.clone();
    app.own.write(move |store| store.drop_instrument(&still, &ask.channel, now_ms)).await?;
    tell(&app, &name).await;
    listed(&app, name).await
}

pub(super) fn moment(field: &str, at: &str) -> Result<i64, ApiError> {
    store::time::parse_start(at).map(|(utc_ms, _)| utc_ms).ok_or_else(|| {
        let hint = "as 2026-10-03T08:12:00+02:00; the offset is needed";
        ApiError::field(field, at, "must be a moment in RFC 3339", hint)
    })
}
