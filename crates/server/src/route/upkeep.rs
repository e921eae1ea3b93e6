//! Upkeep of a still: stated, done, listed with what is due; and what noses said of the jars of a run.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::{Extension, Json};
use store::{NoseWords, Nosed, RunId, Upkeep, UpkeepDone};

use super::instruments::{moment, tell};
use crate::access::Who;
use crate::app::App;
use crate::body::{Asked, Given};
use crate::problem::{ApiError, Problem};
use crate::wire::upkeep::{NosedAsk, NosedWire, UpkeepAsk, UpkeepDoneAsk, UpkeepName, UpkeepWire};

async fn listed(app: &App, still: String) -> Result<Json<Vec<UpkeepWire>>, ApiError> {
    let now_ms = app.clock.now_ms();
    let known = app.own.read(move |store| store.upkeep(&still)).await?;
    Ok(Json(known.iter().map(|one| UpkeepWire::new(one, now_ms)).collect()))
}

/// What is kept up at a still, when it was done, what is due.
#[utoipa::path(
    get, path = "/api/stills/{name}/upkeep", tag = "still", operation_id = "upkeep",
    params(("name" = String, Path, description = "Name of the still, as plans have it")),
    responses(
        (status = 200, description = "By name", body = Vec<UpkeepWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn upkeep_route(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
) -> Result<Json<Vec<UpkeepWire>>, ApiError> {
    listed(&app, name).await
}

/// States something to be kept up, in place of what has its name.
#[utoipa::path(
    put, path = "/api/stills/{name}/upkeep", tag = "still", operation_id = "stateUpkeep",
    request_body = UpkeepAsk,
    params(("name" = String, Path, description = "Name of the still, as plans have it")),
    responses(
        (status = 200, description = "What is kept up now", body = Vec<UpkeepWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn state_upkeep_route(
    State(app): State<Arc<App>>,
    Path(still): Path<String>,
    Given(ask): Given<UpkeepAsk>,
) -> Result<Json<Vec<UpkeepWire>>, ApiError> {
    let now_ms = app.clock.now_ms();
    let UpkeepAsk { name, kind, every_days, every_runs } = ask;
    let (name, kind) = (name.trim().to_owned(), kind.into());
    let one = Upkeep { still: still.clone(), name, kind, every_days, every_runs };
    app.own.write(move |store| store.state_upkeep(one.clone(), now_ms)).await?;
    tell(&app, &still).await;
    listed(&app, still).await
}

/// Keeps that it was done.
#[utoipa::path(
    post, path = "/api/stills/{name}/upkeep", tag = "still", operation_id = "didUpkeep",
    request_body = UpkeepDoneAsk,
    params(("name" = String, Path, description = "Name of the still, as plans have it")),
    responses(
        (status = 200, description = "What is kept up, as it stands now", body = Vec<UpkeepWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn did_upkeep_route(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    Path(still): Path<String>,
    Given(ask): Given<UpkeepDoneAsk>,
) -> Result<Json<Vec<UpkeepWire>>, ApiError> {
    let now_ms = app.clock.now_ms();
    let at_ms = ask.at.as_deref().map(|at| moment("at", at)).transpose()?.unwrap_or(now_ms);
    let (name, by) = (ask.name.trim().to_owned(), who.signs(ask.by));
    let UpkeepDoneAsk { good, with, found, .. } = ask;
    let done = UpkeepDone { still: still.clone(), name, at_ms, good, with, found, by };
    app.own.write(move |store| store.did_upkeep(done.clone(), now_ms)).await?;
    tell(&app, &still).await;
    listed(&app, still).await
}

/// It is kept up no more; what was kept stays in the record.
#[utoipa::path(
    delete, path = "/api/stills/{name}/upkeep", tag = "still", operation_id = "dropUpkeep",
    params(("name" = String, Path, description = "Name of the still, as plans have it"), UpkeepName),
    responses(
        (status = 200, description = "What is kept up now", body = Vec<UpkeepWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn drop_upkeep_route(
    State(app): State<Arc<App>>,
    Path(still): Path<String>,
    Asked(ask): Asked<UpkeepName>,
) -> Result<Json<Vec<UpkeepWire>>, ApiError> {
    let (now_ms, of) = (app.clock.now_ms(), still.clone());
    app.own.write(move |store| store.drop_upkeep(&of, &ask.name, now_ms)).await?;
    tell(&app, &still).await;
    listed(&app, still).await
}

/// What noses said of the jars of a run, the oldest first.
#[utoipa::path(
    get, path = "/api/runs/{id}/noses", tag = "run", operation_id = "noses",
    params(("id" = String, Path, description = "Id of the run")),
    responses(
        (status = 200, description = "Round by round", body = Vec<NosedWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn noses_route(
    State(app): State<Arc<App>>,
    Path(id): Path<String>,
) -> Result<Json<Vec<NosedWire>>, ApiError> {
    let id = RunId::new(&id);
    let keeper = app.keeper_of(&id).await?;
    let noses = keeper.read(move |store| store.noses(&id)).await?;
    Ok(Json(noses.into_iter().map(NosedWire::from).collect()))
}

/// Keeps what noses say of the jars of a run; the last words hold, all of them stay.
#[utoipa::path(
    post, path = "/api/runs/{id}/noses", tag = "run", operation_id = "keepNoses",
    request_body = NosedAsk,
    params(("id" = String, Path, description = "Id of the run")),
    responses(
        (status = 200, description = "All of them, round by round", body = Vec<NosedWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn keep_noses_route(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    Path(id): Path<String>,
    Given(ask): Given<NosedAsk>,
) -> Result<Json<Vec<NosedWire>>, ApiError> {
    let (run, now_ms) = (RunId::new(&id), app.clock.now_ms());
    let example = app.is_example(&run).await?;
    let by = who.signs(ask.by.filter(|by| !by.trim().is_empty()));
    let words = ask.jars.into_iter().map(|one| NoseWords {
        jar: one.jar,
        glass: one.glass,
        words: one.words.trim().to_owned(),
    });
    let nosed = Nosed { run, jars: words.collect(), seed: ask.seed, by };
    let keep = move |store: &store::Store| {
        store.keep_noses(nosed.clone(), now_ms)?;
        store.noses(&nosed.run)
    };
    let noses = app.record(example).write(keep).await?;
    Ok(Json(noses.into_iter().map(NosedWire::from).collect()))
}
