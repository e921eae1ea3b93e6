//! All runs that are going on, and which needs a person next.

use std::sync::Arc;
use std::time::Duration;

use axum::Json;
use axum::extract::State;
use store::{RunMode, RunStatus, RunSummary};

use crate::app::App;
use crate::problem::ApiError;
use crate::session::Command;
use crate::wire::attending::{AttendedWire, AttendingWire, NeedWire};
use crate::wire::run::RunKindWire;

/// How long one run may take to say how it stands. Judgement: a run that is opened again after a
/// stop computes for a second or two; what is longer must not hide the others.
const ANSWER_MAX: Duration = Duration::from_secs(3);

/// All runs that are going on, real ones and rehearsals, the one that needs a person soonest first.
/// A run that does not answer stands at the top: that nothing is known of it is no good sign.
#[utoipa::path(
    get, path = "/api/attending", tag = "run", operation_id = "attending",
    responses((status = 200, description = "The runs", body = AttendingWire))
)]
pub(crate) async fn attending_route(
    State(app): State<Arc<App>>,
) -> Result<Json<AttendingWire>, ApiError> {
    let mut going_on = Vec::new();
    for example in [false, true] {
        let runs = app.record(example).read(move |store| store.runs(example)).await?;
        // What was imported is over, whatever its last entry is.
        let on =
            |run: &RunSummary| run.status == RunStatus::Running && run.mode != RunMode::Imported;
        going_on.extend(runs.into_iter().filter(on));
    }
    let mut asked = Vec::new();
    for run in going_on {
        // A rehearsal that nobody opened stands still; it asks for nobody.
        if run.mode == RunMode::Real || app.sessions.is_open(&run.id) {
            let app = Arc::clone(&app);
            asked.push(tokio::spawn(async move { attended(&app, run).await }));
        }
    }
    let mut runs = Vec::new();
    for one in asked {
        runs.extend(one.await.ok().flatten());
    }
    let soonest = |run: &AttendedWire| (run.need, run.in_s.unwrap_or(f64::INFINITY));
    runs.sort_by(|a, b| {
        let (a, b) = (soonest(a), soonest(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    let needs = runs.first().filter(|run| run.need != NeedWire::Nothing);
    let next = needs.map(|run| run.id.clone());
    Ok(Json(AttendingWire { now_ms: app.clock.now_ms(), next, runs }))
}

async fn attended(app: &App, run: RunSummary) -> Option<AttendedWire> {
    let asked = async {
        let session = app.session(run.id.as_str()).await?;
        session.ask(Command::Attend).await
    };
    let words = match tokio::time::timeout(ANSWER_MAX, asked).await {
        Ok(Ok(line)) => return line.map(|line| *line),
        Ok(Err(error)) => format!("How it stands cannot be told: {error}"),
        Err(_) => "How it stands cannot be told: it does not answer".to_owned(),
    };
    let mode = match run.mode {
        RunMode::Rehearsal { .. } => RunKindWire::Rehearsal,
        RunMode::Real | RunMode::Imported => RunKindWire::Real,
    };
    Some(AttendedWire {
        id: run.id.to_string(),
        title: run.title,
        still: run.still,
        mode,
        example: run.example,
        speed: None,
        need: NeedWire::Unknown,
        words,
        in_s: Some(0.0),
        now: None,
    })
}
