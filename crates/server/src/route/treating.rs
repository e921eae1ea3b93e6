//! Carbon, maceration and casks at the bench.

use axum::Json;
use finishing::FinishingError;
use finishing::carbon::BedInput;
use finishing::cask::{Cask, CaskInput, Climate, Contents, ahead, climate};
use finishing::maceration::{Macerated, MacerationInput, macerate};
use finishing::treatment::{Treated, stirred_in, through_bed};

use crate::body::Given;
use crate::problem::{ApiError, Problem};
use crate::wire::treating::{
    CarbonAnswer, CarbonAsk, CaskAnswer, CaskAsk, MacerateAnswer, MacerateAsk, RegaugeAsk,
};

/// A spirit treated with carbon.
pub(super) fn treated(ask: &CarbonAsk) -> Result<Treated, FinishingError> {
    match ask.bed {
        Some(bed) => through_bed(BedInput {
            litres: ask.litres,
            strength_vol: ask.vol,
            diameter_mm: bed.diameter,
            height_m: bed.height,
            litres_per_hour: bed.flow,
            rinse_litres: bed.rinse,
        }),
        None => stirred_in(ask.litres, ask.vol),
    }
}

/// A maceration.
pub(super) fn macerated(ask: &MacerateAsk) -> Result<Macerated, FinishingError> {
    macerate(MacerationInput {
        litres: ask.litres,
        strength_vol: ask.vol,
        solids_kg: ask.solids,
        water_percent: ask.water,
        held_l_per_kg: ask.held,
        extract_g_per_l: ask.extract,
    })
}

/// What a cask was filled with.
pub(super) const fn filled(ask: &CaskAsk) -> Contents {
    Contents { litres_20c: ask.litres, strength_vol: ask.vol }
}

/// A cask looked ahead.
pub(super) fn looked_ahead(ask: &CaskAsk) -> Result<(Climate, Cask), FinishingError> {
    let store = climate(&ask.climate)?;
    let again = |then: RegaugeAsk| {
        (then.years, Contents { litres_20c: then.litres, strength_vol: then.vol })
    };
    let cask = ahead(&CaskInput {
        filled: filled(ask),
        cask_litres: ask.holds,
        climate: store,
        humidity_percent: ask.humidity,
        regauged: ask.regauged.map(again),
        years: ask.years,
    })?;
    Ok((store, cask))
}

/// Carbon for a spirit: how much, for how long, and what it keeps.
#[utoipa::path(
    post, path = "/api/bench/carbon", tag = "bench", operation_id = "carbon", request_body = CarbonAsk,
    responses(
        (status = 200, description = "What the carbon does", body = CarbonAnswer),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn carbon_route(
    Given(ask): Given<CarbonAsk>,
) -> Result<Json<CarbonAnswer>, ApiError> {
    Ok(Json(treated(&ask)?.into()))
}

/// What macerated solids soak up, and what sugar hides from the glass.
#[utoipa::path(
    post, path = "/api/bench/macerate", tag = "bench", operation_id = "macerate",
    request_body = MacerateAsk,
    responses(
        (status = 200, description = "What it gives", body = MacerateAnswer),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn macerate_route(
    Given(ask): Given<MacerateAsk>,
) -> Result<Json<MacerateAnswer>, ApiError> {
    Ok(Json(macerated(&ask)?.into()))
}

/// A cask in years to come: how full, how strong, and what the angels take.
#[utoipa::path(
    post, path = "/api/bench/cask", tag = "bench", operation_id = "cask", request_body = CaskAsk,
    responses(
        (status = 200, description = "Year by year", body = CaskAnswer),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn cask_route(Given(ask): Given<CaskAsk>) -> Result<Json<CaskAnswer>, ApiError> {
    let (store, cask) = looked_ahead(&ask)?;
    Ok(Json(CaskAnswer::new(filled(&ask).pure_alcohol_l(), &store, &cask)))
}
