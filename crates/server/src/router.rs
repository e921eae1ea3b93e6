//! All routes in one place, with what lies around each of them, and the document they make.

use std::sync::Arc;

use axum::extract::{DefaultBodyLimit, Request};
use axum::middleware;
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use axum::{Extension, Router};
use tower_http::compression::CompressionLayer;
use utoipa::OpenApi;
use utoipa::openapi::response::ResponseBuilder;
use utoipa::openapi::schema::{ObjectBuilder, Schema, Type};
use utoipa::openapi::{ContentBuilder, Ref, RefOr};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::access::{pair_page, pair_script, pair_style, trust_certificate, trust_page};
use crate::app::App;
use crate::assets;
use crate::body::BODY_BYTES_MAX;
use crate::guard::{self, Door};
use crate::problem::ApiError;
use crate::route::{
    access, account, account_book, account_entry, acts, alarms, attending, bench, entering, events,
    feeds, finishing, fit, instruments, log, metrics, plan, plans, record, runs, server, stills,
    treating, upkeep, wash_acts, wash_probes, washes,
};
use crate::wire::run::{KnowledgeMessageWire, RecordedWire, ResumedWire};

/// What the document says of itself; the routes add the rest.
#[derive(OpenApi)]
#[openapi(
    info(
        title = "Middlecut",
        description = "Plans, attends and records the runs of a small still. Advisory only: nothing here drives a heater or a valve.",
    ),
    components(schemas(
        KnowledgeMessageWire,
        RecordedWire,
        ResumedWire,
        crate::wire::event::EventWire
    ))
)]
struct Document;

fn routes() -> OpenApiRouter<Arc<App>> {
    OpenApiRouter::with_openapi(Document::openapi())
        .routes(routes!(server::health_route))
        .routes(routes!(server::openapi_route))
        .routes(routes!(record::record_route))
        .routes(routes!(record::accept_loss_route))
        .routes(routes!(feeds::feeds_route))
        .routes(routes!(attending::attending_route))
        .routes(routes!(access::asker_route))
        .routes(routes!(access::pair_route))
        .routes(routes!(access::leave_route))
        .routes(routes!(access::guests_route))
        .routes(routes!(access::turn_out_route))
        .routes(routes!(access::code_route))
        .routes(routes!(access::device_route))
        .routes(routes!(alarms::outputs_route))
        .routes(routes!(alarms::test_route))
        .routes(routes!(alarms::review_route))
        .routes(routes!(metrics::metrics_route))
        .routes(routes!(plan::house_route))
        .routes(routes!(plan::keep_own_still_route))
        .routes(routes!(plan::forecast_route))
        .routes(routes!(runs::list_route, runs::begin_route))
        .routes(routes!(runs::show_route))
        .routes(routes!(acts::readings_route))
        .routes(routes!(acts::actions_route))
        .routes(routes!(acts::begin_step_route))
        .routes(routes!(acts::go_on_route))
        .routes(routes!(acts::jars_route))
        .routes(routes!(acts::jar_size_route))
        .routes(routes!(acts::checks_route))
        .routes(routes!(acts::notes_route))
        .routes(routes!(acts::undo_route))
        .routes(routes!(acts::correct_route))
        .routes(routes!(acts::abandon_route))
        .routes(routes!(acts::end_route))
        .routes(routes!(acts::name_route))
        .routes(routes!(acts::learning_route))
        .routes(routes!(acts::still_readings_route))
        .routes(routes!(acts::speed_route))
        .routes(routes!(log::log_route))
        .routes(routes!(plans::plans_route, plans::keep_plan_route, plans::drop_plan_route))
        .routes(routes!(runs::folder_route))
        .routes(routes!(runs::sheet_route))
        .routes(routes!(stills::balance_route))
        .routes(routes!(stills::learn_route))
        .routes(routes!(stills::stills_route))
        .routes(routes!(stills::still_route))
        .routes(routes!(stills::reset_still_route))
        .routes(routes!(fit::fit_route, fit::fit_at_route, fit::give_fit_up_route))
        .routes(routes!(fit::set_aside_route))
        .routes(routes!(
            instruments::instruments_route,
            instruments::state_instrument_route,
            instruments::calibrate_instrument_route,
            instruments::drop_instrument_route
        ))
        .routes(routes!(
            upkeep::upkeep_route,
            upkeep::state_upkeep_route,
            upkeep::did_upkeep_route,
            upkeep::drop_upkeep_route
        ))
        .routes(routes!(upkeep::noses_route, upkeep::keep_noses_route))
        .routes(routes!(events::events_route))
        .merge(book_routes())
        .merge(wash_routes())
        .merge(bench_routes())
}

/// What is reckoned at the bench, and the cuts of a run's jars.
fn bench_routes() -> OpenApiRouter<Arc<App>> {
    OpenApiRouter::new()
        .routes(routes!(bench::gauge_route))
        .routes(routes!(bench::reduce_route))
        .routes(routes!(bench::blend_route))
        .routes(routes!(bench::liquid_route))
        .routes(routes!(finishing::cuts_route))
        .routes(routes!(finishing::steps_route))
        .routes(routes!(finishing::bottling_route))
        .routes(routes!(treating::carbon_route))
        .routes(routes!(treating::macerate_route))
        .routes(routes!(treating::cask_route))
}

/// The account of pure alcohol.
fn book_routes() -> OpenApiRouter<Arc<App>> {
    OpenApiRouter::new()
        .routes(routes!(account::balance_route))
        .routes(routes!(account::lots_route))
        .routes(routes!(account::lot_route))
        .routes(routes!(account::entries_route, account_entry::enter_route))
        .routes(routes!(account_entry::stock_take_route))
        .routes(routes!(account_entry::close_route))
        .routes(routes!(entering::act_route))
        .routes(routes!(account::kinds_route))
        .routes(routes!(account_entry::run_route))
        .routes(routes!(account_book::digest_route))
        .routes(routes!(account_book::page_route))
        .routes(routes!(account_book::findings_route))
        .routes(routes!(account_book::book_route))
}

/// Washes.
fn wash_routes() -> OpenApiRouter<Arc<App>> {
    OpenApiRouter::new()
        .routes(routes!(washes::washes_route, washes::open_wash_route))
        .routes(routes!(washes::take_wash_in_route))
        .routes(routes!(washes::wash_route))
        .routes(routes!(washes::wash_forecast_route))
        .routes(routes!(washes::wash_folder_route))
        .routes(routes!(washes::forecast_recipe_route))
        .routes(routes!(wash_acts::read_wash_route))
        .routes(routes!(wash_acts::float_in_wash_route))
        .routes(routes!(wash_probes::probe_wash_route))
        .routes(routes!(wash_acts::act_on_wash_route))
        .routes(routes!(wash_acts::strike_wash_route))
        .routes(routes!(wash_acts::change_wash_recipe_route))
        .routes(routes!(wash_acts::charge_wash_route))
        .routes(routes!(wash_acts::pour_wash_route))
}

/// The OpenAPI 3.1 document of the server, as `web/openapi.json` holds it.
///
/// # Panics
/// Never: the document is plain data.
#[must_use]
pub fn openapi_json() -> String {
    let (_, mut document) = routes().split_for_parts();
    give_example_plans_an_id(&mut document);
    name_what_any_may_answer(&mut document);
    let mut text = document.to_pretty_json().expect("a document of plain data");
    text.push('\n');
    text
}

/// A plan of the example house is a plan with an id: one list of keys, since a plan by itself takes
/// no other.
fn give_example_plans_an_id(document: &mut utoipa::openapi::OpenApi) {
    let Some(components) = &mut document.components else { return };
    let Some(RefOr::T(Schema::Object(plan))) = components.schemas.get("RunPlanWire") else {
        return;
    };
    let mut plan = plan.clone();
    let id = ObjectBuilder::new().schema_type(Type::String).description(Some("Which one."));
    plan.properties.insert("id".to_owned(), RefOr::T(Schema::Object(id.build())));
    plan.required.insert(0, "id".to_owned());
    plan.description = Some("A plan of the example house.".to_owned());
    components.schemas.insert("ExamplePlanWire".to_owned(), RefOr::T(Schema::Object(plan)));
}

/// What every address may answer where too much waits or the record takes nothing.
fn name_what_any_may_answer(document: &mut utoipa::openapi::OpenApi) {
    let answer = |words: &str| {
        let problem = ContentBuilder::new().schema(Some(Ref::from_schema_name("Problem"))).build();
        let answer = ResponseBuilder::new().description(words);
        RefOr::T(answer.content("application/problem+json", problem).build())
    };
    let busy = answer("Too much is waiting, or the record cannot be read or written");
    let full = answer("The disk is full");
    for item in document.paths.paths.values_mut() {
        let asks = [&mut item.get, &mut item.post, &mut item.put, &mut item.delete];
        for (place, ask) in asks.into_iter().enumerate() {
            let Some(ask) = ask else { continue };
            let answers = &mut ask.responses.responses;
            answers.entry("503".to_owned()).or_insert_with(|| busy.clone());
            if place > 0 {
                answers.entry("507".to_owned()).or_insert_with(|| full.clone());
            }
        }
    }
}

/// Everything the server answers.
pub(crate) fn router(app: Arc<App>, door: Door) -> Router {
    let (router, _) = routes().split_for_parts();
    router
        .route("/pair", get(pair_page))
        .route("/pair.js", get(pair_script))
        .route("/pair.css", get(pair_style))
        .route("/trust", get(trust_page))
        .route("/trust/authority.crt", get(trust_certificate))
        .method_not_allowed_fallback(wrong_method)
        .fallback(assets::page)
        .with_state(app)
        .layer(DefaultBodyLimit::max(BODY_BYTES_MAX))
        .layer(Extension(server::DocumentText(openapi_json().into())))
        .layer(CompressionLayer::new())
        .layer(middleware::from_fn_with_state(door, guard::guard))
}

async fn wrong_method(request: Request) -> Response {
    let (path, method) = (request.uri().path().to_owned(), request.method().to_string());
    ApiError::Method { path, method }.into_response()
}
