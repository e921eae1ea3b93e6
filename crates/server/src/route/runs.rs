//! Runs: begin one, list them, show one, take its folder.

use std::io::{Cursor, Write};
use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use sense::Action;
use still::plan::RunPlan;
use store::{EnteredUnits, Entry, NewRun, RunId, RunMode, RunStatus, RunSummary, Store};
use zip::write::SimpleFileOptions;

use crate::app::App;
use crate::body::{Asked, Given};
use crate::clock::{Moment, zone_offset_minutes};
use crate::problem::{ApiError, Problem};
use crate::session::{Command, Kind, SESSIONS_MAX, check_speed};
use crate::sheet;
use crate::typed::{checked_in, no_unit};
use crate::wire::run::{
    ModeWire, NewRunAsk, RunIdWire, RunKindWire, RunStateWire, RunSummaryWire, RunWire, RunsAsk,
};

/// The runs there are, the newest first.
#[utoipa::path(
    get, path = "/api/runs", tag = "run", operation_id = "runs", params(RunsAsk),
    responses(
        (status = 200, description = "The runs", body = Vec<RunSummaryWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn list_route(
    State(app): State<Arc<App>>,
    Asked(ask): Asked<RunsAsk>,
) -> Result<Json<Vec<RunSummaryWire>>, ApiError> {
    let example = ask.example;
    let runs = app.record(example).read(move |store| store.runs(example)).await?;
    let search = ask.search.unwrap_or_default();
    let newest_first = runs.iter().rev().map(summary);
    Ok(Json(newest_first.filter(|run| is_meant(run, &search)).collect()))
}

/// Whether every word of the search stands somewhere in what the list shows of the run.
fn is_meant(run: &RunSummaryWire, search: &str) -> bool {
    let date = store::time::format_start(run.started_ms, run.zone_offset_minutes);
    let date = date.unwrap_or_default();
    let shown = format!("{} {} {} {date}", run.title, run.still, run.id).to_lowercase();
    search.to_lowercase().split_whitespace().all(|word| shown.contains(word))
}

fn summary(run: &RunSummary) -> RunSummaryWire {
    let mode = match run.mode {
        RunMode::Rehearsal { .. } => RunKindWire::Rehearsal,
        RunMode::Real => RunKindWire::Real,
        RunMode::Imported => RunKindWire::Imported,
    };
    let state = match run.status {
        RunStatus::Planned => RunStateWire::Planned,
        RunStatus::Running => RunStateWire::Running,
        RunStatus::Ended => RunStateWire::Ended,
        RunStatus::Abandoned => RunStateWire::Abandoned,
    };
    RunSummaryWire {
        id: run.id.to_string(),
        title: run.title.clone(),
        still: run.still.clone(),
        litres: run.litres,
        mode,
        rehearsed: run.rehearsed(),
        example: run.example,
        state,
        abandoned: run.abandoned.clone(),
        started_ms: run.started_ms.unwrap_or(run.created_ms),
        zone_offset_minutes: run.zone_offset_minutes,
        ended: run.ended.is_some() || matches!(run.status, RunStatus::Ended | RunStatus::Abandoned),
        counts_for_learning: run.counts && run.status != RunStatus::Abandoned,
    }
}

/// Begins a run.
#[utoipa::path(
    post, path = "/api/runs", tag = "run", operation_id = "beginRun", request_body = NewRunAsk,
    responses(
        (status = 201, description = "It is begun", body = RunIdWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn begin_route(
    State(app): State<Arc<App>>,
    Given(ask): Given<NewRunAsk>,
) -> Result<Response, ApiError> {
    let kind = if matches!(ask.mode, ModeWire::Real) { Kind::Real } else { Kind::Simulated };
    if app.sessions.running(kind) >= SESSIONS_MAX / 2 {
        let (most, kind) = (SESSIONS_MAX / 2, kind.words());
        return Err(ApiError::Conflict {
            code: "too_many_runs",
            what: format!("{most} {kind} are going on already"),
            hint: "end one of them first",
        });
    }
    let example = ask.example.unwrap_or(false);
    let now = app.clock.moment();
    let now_ms = now.wall_ms;
    let typed = checked_in(&ask.entered, &ask.plan, no_unit)?;
    let (run, started) = new_run(ask, now_ms)?;
    let keeper = app.record(example);
    let id = keeper
        .write(move |store| {
            let mut run = run;
            if run.mode == RunMode::Real {
                run.character = store.character(&run.plan.still.name)?;
            }
            let id = store.create_run(&run, now_ms)?;
            if let Some(units) = EnteredUnits::after(typed) {
                store.append_all(&id, &[(now_ms, Entry::Units(units))], now_ms)?;
            }
            if started {
                store.append_all(&id, &heater_on(&run, now), now_ms)?;
            }
            Ok(id)
        })
        .await?;
    app.sessions.begin(&id, kind, keeper, &app.clock)?;
    let place = format!("/api/runs/{id}");
    let answer = Json(RunIdWire { id: id.to_string() });
    Ok((StatusCode::CREATED, [(header::LOCATION, place)], answer).into_response())
}

/// Run time begins now; of a real run the heater is on, as planned.
fn heater_on(run: &NewRun, now: Moment) -> Vec<(i64, Entry)> {
    let (now_ms, steady) = (now.wall_ms, now.steady_mark(0));
    let mut entries = vec![(now_ms, Entry::Started { started_ms: now_ms, steady })];
    if run.mode == RunMode::Real {
        let watts = run.plan.step_power(0).watts();
        entries.push((now_ms, Entry::Action(0.0, Action::Heater { watts })));
    }
    entries
}

/// The run to open, and whether its time begins at once.
fn new_run(ask: NewRunAsk, now_ms: i64) -> Result<(NewRun, bool), ApiError> {
    let mut plan = RunPlan::from(ask.plan);
    plan.check()?;
    let example = ask.example.unwrap_or(false);
    let only = |field: &'static str, given: bool, mode: &str| {
        let bound = format!("only a {mode} has it");
        if given { Err(ApiError::field(field, "given", bound, "leave it out")) } else { Ok(()) }
    };
    match ask.mode {
        ModeWire::Real => {
            only("speed", ask.speed.is_some(), "rehearsal")?;
            only("seed", ask.seed.is_some(), "rehearsal")?;
            only("attendant", ask.attendant.is_some(), "rehearsal")?;
            only("scale", ask.scale.is_some(), "rehearsal")?;
            only("example", example, "rehearsal")?;
            // A real run is in the zone of this computer, from now on.
            if let Some(start) = store::time::format_start(now_ms, zone_offset_minutes(now_ms)) {
                plan.start = start;
            }
            let started = ask.started.unwrap_or(false);
            Ok((NewRun::new(plan, RunMode::Real, example), started))
        }
        ModeWire::Rehearsal => {
            only("started", ask.started.is_some(), "real run")?;
            let speed = ask.speed.unwrap_or(1.0);
            check_speed(speed)?;
            let attendant = ask.attendant.unwrap_or(false);
            let (seed, scale) = (ask.seed.unwrap_or(1), ask.scale.unwrap_or(false));
            // One that cannot be simulated is refused before it stands in the record.
            rehearse::Rehearsal::new(&plan, seed, attendant)?;
            let mode = RunMode::Rehearsal { speed, seed, attendant, scale };
            Ok((NewRun::new(plan, mode, example), attendant))
        }
    }
}

/// The whole of a run as it stands.
#[utoipa::path(
    get, path = "/api/runs/{id}", tag = "run", operation_id = "run",
    params(("id" = String, Path, description = "Id of the run")),
    responses(
        (status = 200, description = "The run", body = RunWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn show_route(
    State(app): State<Arc<App>>,
    Path(id): Path<String>,
) -> Result<Json<RunWire>, ApiError> {
    let run = app.session(&id).await?.ask(Command::Show).await?;
    Ok(Json(*run))
}

/// What a printed sheet may load: nothing but its own looks.
const SHEET_POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// The run sheet: one page to print, before heat to be filled in, after it filled.
#[utoipa::path(
    get, path = "/api/runs/{id}/sheet", tag = "run", operation_id = "sheet",
    params(("id" = String, Path, description = "Id of the run")),
    responses(
        (status = 200, description = "The sheet, one page of A4", body = String, content_type = "text/html"),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn sheet_route(
    State(app): State<Arc<App>>,
    Path(id): Path<String>,
) -> Result<Response, ApiError> {
    let session = app.session(&id).await?;
    let run = *session.ask(Command::Show).await?;
    let alarms = session.ask(Command::Alarms).await?;
    let keeper = app.keeper_of(&RunId::new(&id)).await?;
    let head = keeper.read(Store::head).await?;
    let printed = sheet::printed_at(app.clock.now_ms(), run.zone_offset_minutes);
    let page = sheet::page(&sheet::Told { run, alarms, head, printed });
    let headers = [
        (header::CONTENT_TYPE, "text/html; charset=utf-8"),
        (header::CONTENT_SECURITY_POLICY, SHEET_POLICY),
    ];
    Ok((headers, page).into_response())
}

/// The run folder, as a ZIP archive.
#[utoipa::path(
    get, path = "/api/runs/{id}/folder.zip", tag = "run", operation_id = "folder",
    params(("id" = String, Path, description = "Id of the run")),
    responses(
        (status = 200, description = "run.toml, readings.csv, actions.csv, jars.csv, record.toml", body = Vec<u8>, content_type = "application/zip"),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn folder_route(
    State(app): State<Arc<App>>,
    Path(id): Path<String>,
) -> Result<Response, ApiError> {
    let id = RunId::new(&id);
    let asked = id.clone();
    let keeper = app.keeper_of(&id).await?;
    let state = keeper.read(move |store| store.run(&asked)).await?;
    let archive = tokio::task::spawn_blocking(move || packed(&state)).await;
    let bytes =
        archive.map_err(|error| ApiError::Inside { what: format!("folder: {error}") })??;
    let name = format!("attachment; filename=\"middlecut-{id}.zip\"");
    let headers =
        [(header::CONTENT_TYPE, "application/zip".to_owned()), (header::CONTENT_DISPOSITION, name)];
    Ok((headers, bytes).into_response())
}

fn packed(state: &store::RunState) -> Result<Vec<u8>, ApiError> {
    let inside = |error: String| ApiError::Inside { what: format!("folder: {error}") };
    let files = store::folder::files(&state.folder()).map_err(|error| inside(error.to_string()))?;
    archive(state.summary.id.as_str(), files)
}

/// Files in a folder of that name, as a ZIP archive.
pub(super) fn archive(
    folder: &str,
    files: Vec<(&'static str, Vec<u8>)>,
) -> Result<Vec<u8>, ApiError> {
    let inside = |error: String| ApiError::Inside { what: format!("folder: {error}") };
    let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let plain = SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for (name, bytes) in files {
        let path = format!("{folder}/{name}");
        archive.start_file(path, plain).map_err(|error| inside(error.to_string()))?;
        archive.write_all(&bytes).map_err(|error| inside(error.to_string()))?;
    }
    let whole = archive.finish().map_err(|error| inside(error.to_string()))?;
    Ok(whole.into_inner())
}
