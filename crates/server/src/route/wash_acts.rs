//! What is written of a wash: read, done, struck through, another recipe, its end.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::{Extension, Json};
use ferment::{Charge, Tasted};
use quantities::TypedValue;
use store::rows::{WashAct, WashFloat, WashReading};
use store::{
    Store, StoreError, WashBy, WashCharge, WashDone, WashEnd, WashEntry, WashFloated, WashRead,
    WashRecipe, WashState, WashWithdrawn,
};

use super::washes::{found, recipe};
use crate::access::Who;
use crate::app::App;
use crate::body::Given;
use crate::clock::zone_offset_minutes;
use crate::problem::{ApiError, Problem};
use crate::typed::{checked_in, no_unit};
use crate::wire::wash::WashWire;
use crate::wire::wash_ask::{
    ChargeWashAsk, PourWashAsk, StrikeWashAsk, WashActAsk, WashFloatAsk, WashFloatsAsk,
    WashReadingAsk, WashRecipeAsk,
};

/// Figures after the point to which a charge is written: millilitres and thousandths of % vol.
const CHARGE_STEPS: f64 = 1000.0;

async fn written(
    app: &App,
    id: &str,
    write: impl FnOnce(&Store, &WashState) -> Result<WashState, StoreError> + Send + 'static,
) -> Result<Json<WashWire>, ApiError> {
    let (state, keeper, example) = found(app, id).await?;
    let state = keeper.write(move |store| write(store, &state)).await?;
    Ok(Json(WashWire::of(&state, example)?))
}

async fn put(app: &App, id: &str, entry: WashEntry) -> Result<Json<WashWire>, ApiError> {
    put_typed(app, id, entry, Vec::new()).await
}

async fn put_typed(
    app: &App,
    id: &str,
    entry: WashEntry,
    typed: Vec<TypedValue>,
) -> Result<Json<WashWire>, ApiError> {
    let now_ms = app.clock.now_ms();
    let write = move |store: &Store, state: &WashState| {
        store.write_wash_typed(&state.id, vec![entry], typed, now_ms)
    };
    written(app, id, write).await
}

/// Enters a reading.
#[utoipa::path(
    post, path = "/api/washes/{id}/readings", tag = "wash", operation_id = "readWash",
    request_body = WashReadingAsk,
    params(("id" = String, Path, description = "Its name in the record")),
    responses(
        (status = 200, description = "The wash", body = WashWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn read_wash_route(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    Path(id): Path<String>,
    Given(ask): Given<WashReadingAsk>,
) -> Result<Json<WashWire>, ApiError> {
    let tasted = Tasted { no_sugar: ask.no_sugar, gas_stopped: ask.gas_stopped };
    let row = WashReading {
        gravity: ask.gravity,
        temperature_c: ask.temperature_c,
        weight_kg: ask.weight_kg,
        ph: ask.ph,
        note: WashReading::noted(ask.cooled, tasted, &ask.note),
    };
    let at_ms = ask.at_ms.unwrap_or_else(|| app.clock.now_ms());
    let by = WashBy { by: who.signs(ask.by), key: ask.key };
    let typed = checked_in(&ask.entered, &row, no_unit)?;
    let entry =
        WashEntry::Read(WashRead { at_ms, row, corrects: ask.corrects, units: Vec::new(), by });
    put_typed(&app, &id, entry, typed).await
}

/// Enters what a floating sensor sent: it is held against the glass, and doubted where it is wild.
#[utoipa::path(
    post, path = "/api/washes/{id}/float", tag = "wash", operation_id = "floatInWash",
    request_body = WashFloatsAsk,
    params(("id" = String, Path, description = "Its name in the record")),
    responses(
        (status = 200, description = "The wash", body = WashWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn float_in_wash_route(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    Path(id): Path<String>,
    Given(ask): Given<WashFloatsAsk>,
) -> Result<Json<WashWire>, ApiError> {
    let now_ms = app.clock.now_ms();
    let row = |row: WashFloatAsk| -> Result<(i64, WashFloat), ApiError> {
        let gravity = row.counted_gravity()?;
        let WashFloatAsk { at_ms, temperature_c, .. } = row;
        Ok((at_ms.unwrap_or(now_ms), WashFloat { gravity, temperature_c }))
    };
    let rows = ask.rows.into_iter().map(row).collect::<Result<Vec<_>, _>>()?;
    let by = WashBy { by: who.signs(None), key: ask.key };
    put(&app, &id, WashEntry::Floated(WashFloated { rows, units: Vec::new(), by })).await
}

/// Enters an act.
#[utoipa::path(
    post, path = "/api/washes/{id}/acts", tag = "wash", operation_id = "actOnWash",
    request_body = WashActAsk,
    params(("id" = String, Path, description = "Its name in the record")),
    responses(
        (status = 200, description = "The wash", body = WashWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn act_on_wash_route(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    Path(id): Path<String>,
    Given(ask): Given<WashActAsk>,
) -> Result<Json<WashWire>, ApiError> {
    let row = WashAct { action: ask.action, value: ask.value, note: ask.note.trim().to_owned() };
    let at_ms = ask.at_ms.unwrap_or_else(|| app.clock.now_ms());
    let by = WashBy { by: who.signs(ask.by), key: ask.key };
    // A heater is set in °C, all else is weighed.
    let own = (row.unit() == "C").then_some("°C");
    let typed = checked_in(&ask.entered, &row, |_| own)?;
    let entry = WashEntry::Done(WashDone { at_ms, row, corrects: ask.corrects, by });
    put_typed(&app, &id, entry, typed).await
}

/// Strikes an entry through: it stays, and counts no more. An end that is taken back opens the wash
/// again; what it entered in the account is corrected there.
#[utoipa::path(
    post, path = "/api/washes/{id}/strike", tag = "wash", operation_id = "strikeWash",
    request_body = StrikeWashAsk,
    params(("id" = String, Path, description = "Its name in the record")),
    responses(
        (status = 200, description = "The wash", body = WashWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn strike_wash_route(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    Path(id): Path<String>,
    Given(ask): Given<StrikeWashAsk>,
) -> Result<Json<WashWire>, ApiError> {
    let by = WashBy { by: who.signs(ask.by), key: ask.key };
    let (entry, reason) = (ask.entry, ask.reason.trim().to_owned());
    put(&app, &id, WashEntry::Withdrawn(WashWithdrawn { entry, reason, by })).await
}

/// States the recipe anew, back to the pitching.
#[utoipa::path(
    put, path = "/api/washes/{id}/recipe", tag = "wash", operation_id = "changeWashRecipe",
    request_body = WashRecipeAsk,
    params(("id" = String, Path, description = "Its name in the record")),
    responses(
        (status = 200, description = "The wash", body = WashWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn change_wash_recipe_route(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    Path(id): Path<String>,
    Given(ask): Given<WashRecipeAsk>,
) -> Result<Json<WashWire>, ApiError> {
    let recipe = recipe(&ask.recipe, app.clock.now_ms())?;
    let by = WashBy { by: who.signs(ask.by), key: ask.key };
    let typed = checked_in(&ask.entered, &ask.recipe, no_unit)?;
    let reason = ask.reason.trim().to_owned();
    put_typed(&app, &id, WashEntry::Recipe(WashRecipe { recipe, reason, by }), typed).await
}

/// Ends a wash as a charge, and enters its alcohol in the account in the same act.
#[utoipa::path(
    post, path = "/api/washes/{id}/charge", tag = "wash", operation_id = "chargeWash",
    request_body = ChargeWashAsk,
    params(("id" = String, Path, description = "Its name in the record")),
    responses(
        (status = 200, description = "The wash", body = WashWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn charge_wash_route(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    Path(id): Path<String>,
    Given(ask): Given<ChargeWashAsk>,
) -> Result<Json<WashWire>, ApiError> {
    let now_ms = app.clock.now_ms();
    let by = WashBy { by: who.signs(ask.by), key: ask.key };
    if by.by.as_ref().is_none_or(|by| by.trim().is_empty()) {
        let hint = "an entry of the account names who entered it";
        return Err(ApiError::field("by", "nobody", "must say who", hint));
    }
    let (state, ..) = found(&app, &id).await?;
    let forecast = app.wash_forecasts.of(&state, now_ms).await?;
    let Charge { litres, litres_sd, strength_vol, strength_sd } = Charge::of(&forecast);
    let told = |given: Option<f64>, reckoned: f64| {
        given.unwrap_or((reckoned * CHARGE_STEPS).round() / CHARGE_STEPS)
    };
    let charge = WashCharge {
        litres: told(ask.litres, litres),
        litres_sd: told(ask.litres_sd, litres_sd),
        strength_vol: told(ask.strength_vol, strength_vol),
        strength_sd: told(ask.strength_sd, strength_sd),
        lot: ask.lot.unwrap_or_else(|| state.id.to_string()),
    };
    let end = WashEnd { at_ms: now_ms, charge: Some(charge), reason: String::new(), by };
    let zone = zone_offset_minutes(now_ms);
    written(&app, &id, move |store, state| store.charge_wash(&state.id, end, zone, now_ms)).await
}

/// Ends a wash that was poured away.
#[utoipa::path(
    post, path = "/api/washes/{id}/pour", tag = "wash", operation_id = "pourWash",
    request_body = PourWashAsk,
    params(("id" = String, Path, description = "Its name in the record")),
    responses(
        (status = 200, description = "The wash", body = WashWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn pour_wash_route(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    Path(id): Path<String>,
    Given(ask): Given<PourWashAsk>,
) -> Result<Json<WashWire>, ApiError> {
    let by = WashBy { by: who.signs(ask.by), key: ask.key };
    let (at_ms, reason) = (app.clock.now_ms(), ask.reason.trim().to_owned());
    put(&app, &id, WashEntry::Ended(WashEnd { at_ms, charge: None, reason, by })).await
}
