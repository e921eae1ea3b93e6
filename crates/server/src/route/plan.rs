//! Before heat: the house, the person's own still, a forecast of a plan.

use std::sync::Arc;

use advise::{Live, LiveOptions};
use axum::Json;
use axum::extract::State;
use still::plan::{HeatSource, Measured, OwnStill, RunPlan, Still};
use store::OwnStillRecord;

use crate::app::App;
use crate::body::Given;
use crate::clock::zone_offset_minutes;
use crate::example;
use crate::forecasts::ForecastCache;
use crate::problem::{ApiError, Problem};
use crate::wire::forecast::{ForecastAsk, ForecastWire};
use crate::wire::house::{
    DerivedWire, ExamplePlanWire, ExampleWire, HouseWire, OwnStillAsk, OwnStillWire,
};
use crate::wire::knowledge::JarWire;
use crate::wire::plan::{RunPlanWire, StillWire};

/// The example house and the person's own still.
#[utoipa::path(
    get, path = "/api/house", tag = "plan", operation_id = "house",
    responses((status = 200, description = "Both houses", body = HouseWire))
)]
pub(crate) async fn house_route(State(app): State<Arc<App>>) -> Result<Json<HouseWire>, ApiError> {
    let own = app.own.read(store::Store::own_still).await?;
    let house = example::house();
    let plans = house.plans.iter().map(|(id, plan)| ExamplePlanWire {
        id: id.clone(),
        plan: RunPlanWire::from(plan.clone()),
    });
    Ok(Json(HouseWire {
        example: ExampleWire { name: house.name.clone(), plans: plans.collect() },
        own: own.map(own_wire),
        zone_offset_minutes: zone_offset_minutes(app.clock.now_ms()),
    }))
}

/// Keeps what a person says about their own still; the rest is assumed and named.
#[utoipa::path(
    put, path = "/api/house/own", tag = "plan", operation_id = "keepOwnStill",
    request_body = OwnStillAsk,
    responses(
        (status = 200, description = "The whole still", body = OwnStillWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn keep_own_still_route(
    State(app): State<Arc<App>>,
    Given(ask): Given<OwnStillAsk>,
) -> Result<Json<OwnStillWire>, ApiError> {
    let record = whole_still(&ask)?;
    let (now_ms, kept) = (app.clock.now_ms(), record.clone());
    app.own.write(move |store| store.set_own_still(&kept, now_ms)).await?;
    Ok(Json(own_wire(record)))
}

/// The own still with what its assumed keys follow from.
fn own_wire(own: OwnStillRecord) -> OwnStillWire {
    let OwnStillRecord { still, defaulted, measured } = own;
    let facts = OwnStill {
        kind: still.kind,
        boiler_litres: still.boiler_litres,
        elements_watts: counted_on(&still.elements_watts, still.boiler_litres),
    };
    let (_, derived) = facts.derive(&still.name, &measured);
    let derived = derived.into_iter().filter(|one| defaulted.iter().any(|key| key == one.key));
    let derived = derived.map(|one| DerivedWire { key: one.key.to_owned(), from: one.from });
    let (heat, run) = facts.heater_powers(&measured);
    OwnStillWire {
        still: StillWire::from(still),
        derived: derived.collect(),
        measured: measured.into(),
        defaulted,
        heat_w: heat.watts(),
        run_w: run.watts(),
    }
}

/// The powers that a still is reckoned with: the stated ones, else a usual one.
fn counted_on(elements_watts: &[f64], boiler_litres: f64) -> Vec<f64> {
    if elements_watts.is_empty() {
        return vec![HeatSource::usual_power(boiler_litres).watts()];
    }
    elements_watts.to_vec()
}

/// The still from three facts, what was measured, and whatever is known better.
fn whole_still(ask: &OwnStillAsk) -> Result<OwnStillRecord, ApiError> {
    let heat_source = HeatSource::from(ask.heat_source);
    let unstated = !heat_source.is_electric() && ask.elements_watts.is_empty();
    let facts = OwnStill {
        kind: ask.kind.into(),
        boiler_litres: ask.boiler_litres,
        elements_watts: if unstated {
            counted_on(&[], ask.boiler_litres)
        } else {
            ask.elements_watts.clone()
        },
    };
    let measured = Measured::from(ask.measured);
    facts.check()?;
    measured.check()?;
    let (mut still, derived) = facts.derive(&ask.name, &measured);
    (still.heat_source, still.head_place) = (heat_source, ask.head_place.into());
    still.elements_watts.clone_from(&ask.elements_watts);
    for (key, value) in &ask.overrides {
        *key_of(&mut still, key)? = *value;
    }
    // A still without these has no key to be overridden above.
    still.check()?;
    let assumed = derived.iter().filter(|one| !ask.overrides.contains_key(one.key));
    let defaulted = assumed.map(|one| one.key.to_owned()).collect();
    Ok(OwnStillRecord { still, defaulted, measured })
}

/// The number behind a key of the still that has a default.
fn key_of<'a>(still: &'a mut Still, key: &str) -> Result<&'a mut f64, ApiError> {
    Ok(match key {
        "element_cover_litres" => &mut still.element_cover_litres,
        "stages" => &mut still.stages,
        "efficiency" => still.efficiency.insert(1.0),
        "reflux_c" => still.reflux_c.insert(20.0),
        "vapour_lost" => still.vapour_lost.insert(0.0),
        "column_probe_fraction" => still.column_probe_fraction.insert(0.5),
        "holdup_litres" => &mut still.holdup_litres,
        "drum_fraction" => &mut still.drum_fraction,
        "boiler_loss_w_per_k" => &mut still.boiler_loss_w_per_k,
        "column_loss_w_per_k" => &mut still.column_loss_w_per_k,
        "metal_kj_per_k" => &mut still.metal_kj_per_k,
        "column_metal_kj_per_k" => &mut still.column_metal_kj_per_k,
        "pressure_drop_pa_per_stage" => &mut still.pressure_drop_pa_per_stage,
        "max_takeoff_ml_per_min" => &mut still.max_takeoff_ml_per_min,
        _ => {
            return Err(ApiError::field(
                format!("overrides.{key}"),
                key,
                "must be a key of the still that has a default",
                "name, kind, boiler_litres and elements_watts stand beside `overrides`",
            ));
        }
    })
}

/// Simulates a plan.
#[utoipa::path(
    post, path = "/api/forecast", tag = "plan", operation_id = "forecast",
    request_body = ForecastAsk,
    responses(
        (status = 200, description = "What the run gives", body = ForecastWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn forecast_route(
    State(app): State<Arc<App>>,
    Given(ask): Given<ForecastAsk>,
) -> Result<Json<ForecastWire>, ApiError> {
    let plan = RunPlan::from(ask.plan);
    plan.check()?;
    let _place = app.forecast_places.try_acquire().map_err(|_| ApiError::Busy)?;
    let cache = Arc::clone(&app.forecasts);
    let computed = tokio::task::spawn_blocking(move || forecast_with_jars(&cache, &plan)).await;
    computed.map_err(|error| ApiError::Inside { what: format!("forecast: {error}") })?.map(Json)
}

/// The forecast, and the jars that the live engine expects of it before heat.
fn forecast_with_jars(
    cache: &Arc<ForecastCache>,
    plan: &RunPlan,
) -> Result<ForecastWire, ApiError> {
    let forecasts = cache.of(plan)?;
    let live =
        Live::with_forecasts(plan.clone(), LiveOptions::default(), Some(Ok(forecasts.clone())))?;
    Ok(ForecastWire::new(
        plan,
        forecasts.nominal(),
        live.knowledge().jars.iter().map(JarWire::from).collect(),
    ))
}
