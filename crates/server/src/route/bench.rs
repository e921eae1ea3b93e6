//! The bench: gauge, reduce, blend, and everything about one liquid.

use alcoholometry::AlcoholometryError;
use alcoholometry::blend::{self, Part};
use alcoholometry::gauge::{self, CELSIUS_SD_DEFAULT, GaugeInput, Scale};
use alcoholometry::kernel::{mass_fraction_from_mole_fraction, vol20_from_mass_fraction};
use alcoholometry::liquid::{self, Basis, LiquidInput};
use alcoholometry::reduce::{self, ReduceInput};
use axum::Json;
use finishing::steps::{self, StepsInput};
use quantities::{MoleFraction, OutOfRange, Pressure};
use thermo::ThermoError;
use thermo::ethanol_water::boiling;

use crate::body::Given;
use crate::problem::{ApiError, Problem};
use crate::wire::bench::{
    BlendAnswer, BlendAsk, GaugeAnswer, GaugeAsk, LiquidAnswer, LiquidAsk, ReduceAnswer, ReduceAsk,
    ScaleWire,
};

/// Names of this crate's requests for the names in which the kernel speaks.
const NAMES: [(&str, &str); 4] = [
    ("at", "celsius"),
    ("at-sd", "celsius_sd"),
    ("reading-sd", "reading_sd"),
    ("strength", "strength_vol"),
];

impl From<AlcoholometryError> for ApiError {
    fn from(error: AlcoholometryError) -> Self {
        let field = error.field();
        let name = NAMES.iter().find(|(inner, _)| *inner == field.name);
        let name = name.map_or(field.name, |(_, ours)| ours);
        let name = match field.part {
            Some(part) => format!("parts[{}].{name}", part - 1),
            None => name.to_owned(),
        };
        let (value, bound) = match error {
            AlcoholometryError::OutOfRange { value, low, high, unit, .. } => {
                (value.to_string(), format!("must lie from {low} to {high} {unit}"))
            }
            AlcoholometryError::Frozen { value, low, celsius, .. } => (
                format!("{value:.2} % mass"),
                format!("must lie from {low:.2} to 100 % mass at {celsius} °C: less is partly ice"),
            ),
            AlcoholometryError::Count { count, low, high, .. } => {
                (format!("{count} entries"), format!("must have {low} to {high} entries"))
            }
            AlcoholometryError::Search { cause, .. } => (cause.to_string(), "no answer".to_owned()),
        };
        Self::field(name, value, bound, error.hint())
    }
}

/// A refused quantity of the named field.
fn refused(field: &'static str) -> impl Fn(OutOfRange) -> ApiError {
    move |error| {
        let bound = format!("must lie from {} to {} {}", error.low, error.high, error.unit);
        ApiError::field(field, error.value, bound, format!("this is {}", error.quantity))
    }
}

/// Reading of a glass hydrometer to true strength.
#[utoipa::path(
    post, path = "/api/bench/gauge", tag = "bench", operation_id = "gauge", request_body = GaugeAsk,
    responses(
        (status = 200, description = "The true strength", body = GaugeAnswer),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn gauge_route(
    Given(ask): Given<GaugeAsk>,
) -> Result<Json<GaugeAnswer>, ApiError> {
    let scale = match ask.scale {
        ScaleWire::Vol20 => Scale::Vol20,
        ScaleWire::Vol60 => Scale::Vol60,
        ScaleWire::Proof60 => Scale::Proof60,
        ScaleWire::Density => Scale::Density,
    };
    let is = gauge::gauge(GaugeInput {
        reading: ask.reading,
        celsius: ask.celsius,
        scale,
        reading_sd: ask.reading_sd.unwrap_or(scale.reading_sd_default()),
        celsius_sd: ask.celsius_sd.unwrap_or(CELSIUS_SD_DEFAULT),
    })?;
    Ok(Json(GaugeAnswer {
        strength_vol_20c: is.strength_vol_20c,
        strength_sd: is.strength_sd,
        mass_percent: is.mass_percent,
        proof_60f: is.proof_60f,
        density_20c_kg_m3: is.density_20c_kg_m3,
    }))
}

/// Water to add for a weaker spirit.
#[utoipa::path(
    post, path = "/api/bench/reduce", tag = "bench", operation_id = "reduce", request_body = ReduceAsk,
    responses(
        (status = 200, description = "The water to add", body = ReduceAnswer),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn reduce_route(
    Given(ask): Given<ReduceAsk>,
) -> Result<Json<ReduceAnswer>, ApiError> {
    let celsius = ask.celsius.unwrap_or(20.0);
    let is = reduce::reduce(ReduceInput::exact(ask.litres, ask.from, ask.to, celsius))?;
    let at_once = steps::plan(&StepsInput {
        litres: ask.litres,
        from: ask.from,
        from_sd: 0.0,
        to: ask.to,
        celsius,
        steps: 1,
        rest_hours: 0.0,
        gauged: Vec::new(),
    });
    Ok(Json(ReduceAnswer {
        first_pour_kg: at_once.ok().and_then(|plan| Some(plan.steps.first()?.pour_kg)),
        water_kg: is.water_kg,
        water_l_20c: is.water_l_20c,
        product_l_20c: is.product_l_20c,
        contraction_percent: is.contraction_percent,
        warming_k: is.warming_k,
        naive_water_l: is.naive_water_l,
    }))
}

/// What parts make together.
#[utoipa::path(
    post, path = "/api/bench/blend", tag = "bench", operation_id = "blend", request_body = BlendAsk,
    responses(
        (status = 200, description = "The blend", body = BlendAnswer),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn blend_route(
    Given(ask): Given<BlendAsk>,
) -> Result<Json<BlendAnswer>, ApiError> {
    let parts: Vec<Part> =
        ask.parts.iter().map(|part| Part::at_20c(part.litres, part.strength_vol)).collect();
    let is = blend::blend(&parts)?;
    Ok(Json(BlendAnswer {
        litres_20c: is.litres_20c,
        strength_vol_20c: is.strength_vol_20c,
        pure_alcohol_l: is.pure_alcohol_l,
        mass_kg: is.mass_kg,
        contraction_percent: is.contraction_percent,
    }))
}

/// The one basis by which the liquid was told.
fn basis(ask: &LiquidAsk) -> Result<Basis, ApiError> {
    let given: Vec<Basis> = [
        ask.vol.map(Basis::Vol20Percent),
        ask.mass.map(Basis::MassPercent),
        ask.mole.map(Basis::MoleFraction),
        ask.proof.map(Basis::Proof60F),
        ask.density.map(Basis::DensityKgM3),
    ]
    .into_iter()
    .flatten()
    .collect();
    match given[..] {
        [one] => Ok(one),
        _ => Err(ApiError::field(
            "vol, mass, mole, proof, density",
            format!("{} given", given.len()),
            "exactly one must be given",
            "tell the liquid by one of its strengths, or by its density",
        )),
    }
}

/// Everything about one liquid of ethanol and water.
#[utoipa::path(
    post, path = "/api/bench/liquid", tag = "bench", operation_id = "liquid", request_body = LiquidAsk,
    responses(
        (status = 200, description = "Everything about it", body = LiquidAnswer),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn liquid_route(
    Given(ask): Given<LiquidAsk>,
) -> Result<Json<LiquidAnswer>, ApiError> {
    let celsius = ask.celsius.unwrap_or(20.0);
    let is = liquid::describe(LiquidInput::exact(basis(&ask)?, celsius))?;
    let pressure = Pressure::from_hectopascals(ask.pressure_hpa.unwrap_or(1013.25))
        .map_err(refused("pressure_hpa"))?;
    let x = MoleFraction::new(is.mole_fraction).map_err(refused("mole"))?;
    let boil = boiling(x, pressure).map_err(|error: ThermoError| {
        ApiError::field("pressure_hpa", pressure.hectopascals(), error.to_string(), "check both")
    })?;
    let y = boil.vapour.get();
    Ok(Json(LiquidAnswer {
        strength_vol_20c: is.strength_vol_20c,
        mass_percent: is.mass_percent,
        mole_fraction: is.mole_fraction,
        proof_60f: is.proof_60f,
        density_kg_m3: is.density_kg_m3,
        density_20c_kg_m3: is.density_20c_kg_m3,
        litres_at_t_per_litre_20c: is.litres_at_t_per_litre_20c,
        boiling_c: boil.temperature.celsius(),
        vapour_mole_fraction: y,
        vapour_strength_vol: 100.0 * vol20_from_mass_fraction(mass_fraction_from_mole_fraction(y)),
    }))
}
