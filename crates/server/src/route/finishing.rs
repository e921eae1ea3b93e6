//! From the jars to the bottle: a run's cuts, a reduction in steps, a lot of bottles.

use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, State};
use finishing::FinishingError;
use finishing::bottling::{CountInput, Counted, Gauges, Labelled, Tank, count, gauged, labelled};
use finishing::congeners::Curve;
use finishing::cuts::Table;
use finishing::fill::{FillInput, Filled, Way, fill};
use finishing::jar::{Jar, JarReading};
use finishing::profile::Profile;
use finishing::{limits, nose, profile, steps};
use still::plan::StepKind;
use store::RunId;
use store::folder::RunFolder;

use crate::app::App;
use crate::body::{Asked, Given};
use crate::forecasts::ForecastCache;
use crate::problem::{ApiError, Problem};
use crate::wire::finishing::{CutsAsk, CutsWire};
use crate::wire::to_bottle::{BottlingAnswer, BottlingAsk, StepsAnswer, StepsAsk};

/// How far off a thermometer at the bench may be, K (judgement).
const THERMOMETER_K: f64 = 0.5;
/// Litres of a tank that was weighed or read, sd as a share (judgement).
const TANK_SHARE_SD: f64 = 0.002;
/// A balance under a bottle, sd in g, and what differs from bottle to bottle, mL (judgement).
const BALANCE_SD_G: f64 = 1.0;
const EACH_SD_ML: f64 = 1.5;
/// Hours between two steps where nothing was said (common practice: a day at least).
const REST_HOURS: f64 = 24.0;

/// Names of requests for the names in which the crate speaks.
const NAMES: [(&str, &str); 5] = [
    ("at", "celsius"),
    ("rest", "rest_hours"),
    ("size", "size_ml"),
    ("step", "step_vol"),
    ("over", "over_ml"),
];

impl From<FinishingError> for ApiError {
    fn from(error: FinishingError) -> Self {
        let (field, value, bound) = error.parts();
        let ours = NAMES.iter().find(|(inner, _)| *inner == field);
        let field = ours.map_or(field, |(_, ours)| (*ours).to_owned());
        Self::field(field, value, bound, error.hint())
    }
}

/// The jars of a run, what a choice of them comes to, and what one jar more or less would change.
#[utoipa::path(
    get, path = "/api/runs/{id}/cuts", tag = "run", operation_id = "cuts",
    params(("id" = String, Path, description = "Id of the run"), CutsAsk),
    responses(
        (status = 200, description = "The jars, cut", body = CutsWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn cuts_route(
    State(app): State<Arc<App>>,
    Path(id): Path<String>,
    Asked(ask): Asked<CutsAsk>,
) -> Result<Json<CutsWire>, ApiError> {
    let id = RunId::new(&id);
    let asked = id.clone();
    let keeper = app.keeper_of(&id).await?;
    let folder = keeper.read(move |store| Ok(store.run(&asked)?.folder())).await?;
    let _place = app.forecast_places.try_acquire().map_err(|_| ApiError::Busy)?;
    let cache = Arc::clone(&app.forecasts);
    let done = tokio::task::spawn_blocking(move || cuts(&cache, &folder, &ask)).await;
    done.map_err(|error| ApiError::Inside { what: format!("cuts: {error}") })?.map(Json)
}

/// The numbers of a choice, or the jars recorded as hearts.
fn chosen(ask: &CutsAsk, jars: &[Jar]) -> Result<Vec<u32>, ApiError> {
    let Some(text) = &ask.jars else {
        let hearts = jars.iter().filter(|jar| jar.cut == Some(StepKind::Hearts));
        return Ok(hearts.map(|jar| jar.number).collect());
    };
    let one = |word: &str| {
        word.trim()
            .parse()
            .map_err(|_| ApiError::field("jars", word, "must be numbers with commas", "as 3,4,5"))
    };
    text.split(',').filter(|word| !word.is_empty()).map(one).collect()
}

/// The jars of a run that were gauged, by number; number and litres of those that were not.
pub(super) fn gauged_jars(folder: &RunFolder) -> (Vec<Jar>, Vec<(u32, f64)>) {
    let (mut jars, mut not_gauged) = (Vec::new(), Vec::new());
    for record in sense::jar::standing(&folder.rows.jars) {
        match JarReading::of(record).map(|reading| Jar::gauged(&reading)) {
            Some(Ok(jar)) => jars.push(jar),
            _ => not_gauged.push((record.number, record.volume_ml / 1000.0)),
        }
    }
    jars.sort_by_key(|jar| jar.number);
    (jars, not_gauged)
}

fn cuts(
    cache: &Arc<ForecastCache>,
    folder: &RunFolder,
    ask: &CutsAsk,
) -> Result<CutsWire, ApiError> {
    let limits = limits::of(ask.category.as_deref().unwrap_or("general"))?;
    let (jars, not_gauged) = gauged_jars(folder);
    // A plan without a forecast still has jars: then nothing is predicted of them.
    let forecasts = cache.of(&folder.plan).ok();
    let is_stated = folder.plan.charge.congeners_mg_per_l.is_some();
    let curve = forecasts.and_then(|forecasts| Curve::of(forecasts.nominal(), is_stated));
    let mg = curve.as_ref().map(|curve| curve.of_jars(&jars, &not_gauged));
    let factor = curve.map_or(1.0, |curve| curve.factor);
    let table = Table { jars: &jars, congeners: mg.as_deref(), factor };
    let chosen = chosen(ask, &jars)?;
    let cuts = if chosen.is_empty() { None } else { Some(table.cut(&chosen, &limits)?) };
    let charge = &folder.plan.charge;
    let charged_l = charge.litres * charge.strength_vol / 100.0;
    let glasses = match ask.seed {
        Some(seed) => {
            let numbers: Vec<u32> = jars.iter().map(|jar| jar.number).collect();
            nose::round(&numbers, 0, u64::from(seed))?
        }
        None => Vec::new(),
    };
    Ok(CutsWire {
        left_out: not_gauged.iter().map(|one| one.0).collect(),
        run: Some(folder.plan.title.clone()),
        glasses: glasses.into_iter().map(Into::into).collect(),
        ..CutsWire::new(&jars, mg.as_deref(), cuts.as_ref(), Some(charged_l))
    })
}

/// A reduction in steps by weight, with what was gauged on the way.
#[utoipa::path(
    post, path = "/api/bench/steps", tag = "bench", operation_id = "steps", request_body = StepsAsk,
    responses(
        (status = 200, description = "The steps", body = StepsAnswer),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn steps_route(
    Given(ask): Given<StepsAsk>,
) -> Result<Json<StepsAnswer>, ApiError> {
    Ok(Json((&planned(ask)?).into()))
}

/// A reduction in steps.
pub(super) fn planned(ask: StepsAsk) -> Result<steps::Steps, FinishingError> {
    steps::plan(&steps::StepsInput {
        litres: ask.litres,
        from: ask.from,
        from_sd: steps::GAUGE_SD_VOL,
        to: ask.to,
        celsius: ask.celsius.unwrap_or(20.0),
        steps: ask.steps.map_or(1, |steps| steps as usize),
        rest_hours: ask.rest_hours.unwrap_or(REST_HOURS),
        gauged: ask.gauged,
    })
}

/// A lot of bottles: its label, its fill, its count.
#[utoipa::path(
    post, path = "/api/bench/bottling", tag = "bench", operation_id = "bottling",
    request_body = BottlingAsk,
    responses(
        (status = 200, description = "The lot", body = BottlingAnswer),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn bottling_route(
    Given(ask): Given<BottlingAsk>,
) -> Result<Json<BottlingAnswer>, ApiError> {
    let Lot { profile, tank, label, fill, count } = lot(&ask)?;
    Ok(Json(BottlingAnswer::new(&profile, tank, &label, &fill, &count)))
}

/// All that is reckoned of a lot of bottles.
pub(super) struct Lot {
    profile: Profile,
    pub(super) tank: Tank,
    label: Labelled,
    fill: Filled,
    pub(super) count: Counted,
}

/// Reckons a lot of bottles.
pub(super) fn lot(ask: &BottlingAsk) -> Result<Lot, FinishingError> {
    let profile = profile::of(&ask.country, ask.size_ml, false)?;
    let glasses = ask.glasses.unwrap_or(1);
    let with =
        Gauges { step_vol: ask.step_vol, thermometer_k: THERMOMETER_K, glasses, readings: 1 };
    let tank = gauged(ask.reading, ask.celsius, with)?;
    let label = labelled(tank, ask.label, profile.strength)?;
    let counting = |mean_ml, mean_sd_ml| CountInput {
        tank_litres: ask.litres,
        tank_litres_sd: TANK_SHARE_SD * ask.litres,
        strength_vol: tank.strength_vol,
        mean_ml,
        mean_sd_ml,
        heel_litres: 0.0,
        counted: ask.counted,
    };
    let over_ml = ask.over_ml.unwrap_or(0.0);
    let possible = count(&counting(ask.size_ml + over_ml, 0.0))?;
    let filled = fill(&FillInput {
        nominal_ml: ask.size_ml,
        over_ml,
        strength_vol: tank.strength_vol,
        celsius: ask.celsius,
        celsius_sd: THERMOMETER_K,
        way: Way::Weight { balance_sd_g: BALANCE_SD_G },
        each_sd_ml: EACH_SD_ML,
        bottles: ask.counted.unwrap_or(possible.bottles).max(1),
        rule: profile.fill,
    })?;
    let count = count(&counting(filled.mean_ml, filled.shared_sd_ml))?;
    Ok(Lot { profile, tank, label, fill: filled, count })
}
