//! Washes: listed, opened, shown, forecast, taken in and given out as folders.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use axum::{Extension, Json};
use store::folder::WashFolder;
use store::{RunId, WashBy, WashState};

use super::runs::archive;
use crate::access::Who;
use crate::app::App;
use crate::body::{Asked, Given};
use crate::clock::zone_offset_minutes;
use crate::keeper::Keeper;
use crate::problem::{ApiError, Problem};
use crate::typed::{checked_in, no_unit};
use crate::wire::wash::{WashSummaryWire, WashWire};
use crate::wire::wash_ask::{ImportWashAsk, OpenWashAsk, WashesAsk};
use crate::wire::wash_forecast::WashForecastWire;
use crate::wire::wash_recipe::WashRecipeWire;

/// Characters of an unknown name that an answer repeats.
const ID_SHOWN_MAX: usize = 60;

/// The wash of that name, with the record that holds it and whether that is the example's.
pub(super) async fn found<'a>(
    app: &'a App,
    id: &str,
) -> Result<(WashState, &'a Keeper, bool), ApiError> {
    let wanted = RunId::new(id);
    for example in [false, true] {
        let (asked, keeper) = (wanted.clone(), app.record(example));
        match keeper.read(move |store| store.wash(&asked)).await {
            Ok(state) => return Ok((state, keeper, example)),
            Err(ApiError::NoWash { .. }) => {}
            Err(other) => return Err(other),
        }
    }
    Err(ApiError::NoWash { id: id.chars().take(ID_SHOWN_MAX).collect() })
}

/// The recipe of an ask; one without a start begins now, in the zone of this computer.
pub(super) fn recipe(ask: &WashRecipeWire, now_ms: i64) -> Result<ferment::Recipe, ApiError> {
    let mut recipe = ask.recipe()?;
    if recipe.start.trim().is_empty() {
        let start = store::time::format_start(now_ms, zone_offset_minutes(now_ms));
        recipe.start = start.unwrap_or_default();
    }
    recipe.check().map_err(crate::wash_forecasts::refused)?;
    Ok(recipe)
}

/// The washes, the newest first.
#[utoipa::path(
    get, path = "/api/washes", tag = "wash", operation_id = "washes", params(WashesAsk),
    responses((status = 200, description = "The washes", body = Vec<WashSummaryWire>))
)]
pub(crate) async fn washes_route(
    State(app): State<Arc<App>>,
    Asked(ask): Asked<WashesAsk>,
) -> Result<Json<Vec<WashSummaryWire>>, ApiError> {
    let list = Arc::clone(&app.wash_list);
    let told = move |store: &store::Store| list.told(store);
    Ok(Json(app.house(ask.example).await.read(told).await?))
}

/// Opens a wash.
#[utoipa::path(
    post, path = "/api/washes", tag = "wash", operation_id = "openWash", request_body = OpenWashAsk,
    responses(
        (status = 200, description = "The wash", body = WashWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn open_wash_route(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    Given(ask): Given<OpenWashAsk>,
) -> Result<Json<WashWire>, ApiError> {
    let now_ms = app.clock.now_ms();
    let recipe = recipe(&ask.recipe, now_ms)?;
    let by = WashBy { by: who.signs(ask.by), key: ask.key };
    let typed = checked_in(&ask.entered, &ask.recipe, no_unit)?;
    let opened =
        move |store: &store::Store| store.wash(&store.open_wash_typed(recipe, typed, by, now_ms)?);
    let state = app.record(ask.example).write(opened).await?;
    Ok(Json(WashWire::of(&state, ask.example)?))
}

/// A recipe forecast by itself: nothing is kept.
#[utoipa::path(
    post, path = "/api/bench/wash", tag = "wash", operation_id = "forecastRecipe",
    request_body = OpenWashAsk,
    responses(
        (status = 200, description = "Its forecast", body = WashForecastWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn forecast_recipe_route(
    State(app): State<Arc<App>>,
    Given(ask): Given<OpenWashAsk>,
) -> Result<Json<WashForecastWire>, ApiError> {
    let recipe = recipe(&ask.recipe, app.clock.now_ms())?;
    let state = WashState::planned(&recipe)?;
    // From the moment of pitching: nothing was read yet.
    let place = app.forecast_places.try_acquire().map_err(|_| ApiError::Busy)?;
    let forecast = app.wash_forecasts.computed(&state, 0.0).await?;
    drop(place);
    Ok(Json(WashForecastWire::of(&state, &forecast)))
}

/// A wash as it stands.
#[utoipa::path(
    get, path = "/api/washes/{id}", tag = "wash", operation_id = "wash",
    params(("id" = String, Path, description = "Its name in the record")),
    responses(
        (status = 200, description = "The wash", body = WashWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn wash_route(
    State(app): State<Arc<App>>,
    Path(id): Path<String>,
) -> Result<Json<WashWire>, ApiError> {
    let (state, _, example) = found(&app, &id).await?;
    Ok(Json(WashWire::of(&state, example)?))
}

/// What it is doing and will become: as of now, or as of its end.
#[utoipa::path(
    get, path = "/api/washes/{id}/forecast", tag = "wash", operation_id = "washForecast",
    params(("id" = String, Path, description = "Its name in the record")),
    responses(
        (status = 200, description = "The forecast", body = WashForecastWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn wash_forecast_route(
    State(app): State<Arc<App>>,
    Path(id): Path<String>,
) -> Result<Json<WashForecastWire>, ApiError> {
    let (state, ..) = found(&app, &id).await?;
    let forecast = app.wash_forecasts.of(&state, app.clock.now_ms()).await?;
    Ok(Json(WashForecastWire::of(&state, &forecast)))
}

/// The wash folder, as a ZIP archive.
#[utoipa::path(
    get, path = "/api/washes/{id}/folder.zip", tag = "wash", operation_id = "washFolder",
    params(("id" = String, Path, description = "Its name in the record")),
    responses(
        (status = 200, description = "wash.toml, readings.csv, actions.csv and perhaps float.csv", body = Vec<u8>, content_type = "application/zip"),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn wash_folder_route(
    State(app): State<Arc<App>>,
    Path(id): Path<String>,
) -> Result<Response, ApiError> {
    let (state, ..) = found(&app, &id).await?;
    let name = format!("attachment; filename=\"middlecut-{}.zip\"", state.id);
    let packed = tokio::task::spawn_blocking(move || {
        let files = state.folder().files();
        let files = files.map_err(|error| ApiError::Inside { what: format!("wash: {error}") })?;
        archive(state.id.as_str(), files)
    });
    let bytes =
        packed.await.map_err(|error| ApiError::Inside { what: format!("wash: {error}") })??;
    let headers =
        [(header::CONTENT_TYPE, "application/zip".to_owned()), (header::CONTENT_DISPOSITION, name)];
    Ok((headers, bytes).into_response())
}

/// Takes a wash folder in, whole or not at all.
#[utoipa::path(
    post, path = "/api/washes/folder", tag = "wash", operation_id = "takeWashIn",
    request_body = ImportWashAsk,
    responses(
        (status = 200, description = "The wash", body = WashWire),
        (status = "4XX", description = "Refused, with file, line and what is allowed", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn take_wash_in_route(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    Given(ask): Given<ImportWashAsk>,
) -> Result<Json<WashWire>, ApiError> {
    let now_ms = app.clock.now_ms();
    let by = WashBy { by: who.signs(ask.by), key: ask.key };
    let files = ask.files;
    let taken = move |store: &store::Store| {
        store.wash(&store.take_wash_in(WashFolder::of_files(&files)?, by, now_ms)?)
    };
    let state = app.record(ask.example).write(taken).await?;
    Ok(Json(WashWire::of(&state, ask.example)?))
}
