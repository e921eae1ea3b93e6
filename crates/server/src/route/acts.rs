//! What is recorded in a run: rows, acts, jars, what is taken back or corrected, its course.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::{Extension, Json};
use store::RunId;
use store::access::DeviceOf;

use crate::access::Who;
use crate::app::App;
use crate::body::Given;
use crate::counted::Counted;
use crate::problem::{ApiError, Problem, Refusal};
use crate::session::{Command, Deed, Fed, Handle};
use crate::wire::record::{
    AbandonAsk, AcceptedWire, ActionAsk, BeginAsk, BegunWire, ChecksAsk, CorrectAsk, EntryWire,
    GoOnAsk, JarAsk, JarSizeAsk, LearningWire, NameAsk, NoteAsk, ReadingsAsk, SpeedWire, UndoAsk,
};

/// Writes a route that gives a body to the session of a run.
macro_rules! record_route {
    ($(#[$doc:meta])* $name:ident, $method:ident, $path:literal, $id:literal, $ask:ty, $answer:ty, $ok:literal, |$given:ident, $reply:ident| $command:expr) => {
        $(#[$doc])*
        #[utoipa::path(
            $method, path = $path, tag = "run", operation_id = $id, request_body = $ask,
            params(("id" = String, Path, description = "Id of the run")),
            responses(
                (status = 200, description = $ok, body = $answer),
                (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
            )
        )]
        pub(crate) async fn $name(
            State(app): State<Arc<App>>,
            Extension(who): Extension<Who>,
            Path(id): Path<String>,
            Given($given): Given<$ask>,
        ) -> Result<Json<$answer>, ApiError> {
            app.session(&id).await?.ask(move |$reply| $command.by(who.name())).await.map(Json)
        }
    };
}

record_route!(
    /// Records readings of a real run.
    readings_route, post, "/api/runs/{id}/readings", "read", ReadingsAsk, AcceptedWire, "Stored",
    |ask, answer| Command::Read(ask, answer)
);
record_route!(
    /// Records something that was done. What is unlikely is asked about: 409 `unlikely`.
    actions_route, post, "/api/runs/{id}/actions", "act", ActionAsk, EntryWire, "Stored",
    |ask, answer| Command::Do(Box::new(Deed::Act(ask)), answer)
);
record_route!(
    /// Begins a step after the one that runs, as one act: heater, step, take-off and jar as
    /// planned. Asked again it changes nothing.
    begin_step_route, post, "/api/runs/{id}/begin", "beginStep", BeginAsk, BegunWire, "Begun",
    |ask, answer| Command::Begin(ask, answer)
);
record_route!(
    /// Goes on after an interruption: heater as planned, and the step gone back to.
    go_on_route, post, "/api/runs/{id}/go_on", "goOn", GoOnAsk, BegunWire, "It goes on",
    |ask, answer| Command::GoOn(ask, answer)
);
record_route!(
    /// Records a filled jar, or its gauging, also after the run. What is unlikely is asked about:
    /// 409 `unlikely`.
    jars_route, post, "/api/runs/{id}/jars", "jar", JarAsk, EntryWire, "Stored",
    |ask, answer| Command::Do(Box::new(Deed::Jar(ask)), answer)
);
record_route!(
    /// Says what one jar of this run holds.
    jar_size_route, post, "/api/runs/{id}/jar_size", "jarSize", JarSizeAsk, EntryWire, "Stored",
    |ask, answer| Command::Do(Box::new(Deed::JarSize(ask)), answer)
);
record_route!(
    /// Signs the check list.
    checks_route, post, "/api/runs/{id}/checks", "signChecks", ChecksAsk, EntryWire, "Stored",
    |ask, answer| Command::Do(Box::new(Deed::Checks(ask)), answer)
);
record_route!(
    /// Adds a note, also after the end.
    notes_route, post, "/api/runs/{id}/notes", "addNote", NoteAsk, EntryWire, "Stored",
    |ask, answer| Command::Do(Box::new(Deed::Note(ask)), answer)
);
record_route!(
    /// Takes back an entry, or a step with all it began, at any time; nothing is rubbed out.
    undo_route, post, "/api/runs/{id}/undo", "undo", UndoAsk, EntryWire, "Withdrawn",
    |ask, answer| Command::Do(Box::new(Deed::Undo(ask)), answer)
);
record_route!(
    /// Puts another entry in the place of one, at its run time; nothing is rubbed out.
    correct_route, post, "/api/runs/{id}/correct", "correct", CorrectAsk, EntryWire, "Corrected",
    |ask, answer| Command::Do(Box::new(Deed::Correct(Box::new(ask))), answer)
);
record_route!(
    /// Gives up a run, for a reason: it ends, and teaches nothing.
    abandon_route, post, "/api/runs/{id}/abandon", "abandon", AbandonAsk, EntryWire, "Given up",
    |ask, answer| Command::Do(Box::new(Deed::Abandon(ask)), answer)
);
record_route!(
    /// Gives a run a name.
    name_route, put, "/api/runs/{id}/name", "nameRun", NameAsk, EntryWire, "Named",
    |ask, answer| Command::Do(Box::new(Deed::Name(ask)), answer)
);
record_route!(
    /// Changes the speed of a rehearsal.
    speed_route, put, "/api/runs/{id}/speed", "speed", SpeedWire, SpeedWire, "Changed",
    |ask, answer| Command::Speed(ask.speed, answer)
);

/// Ends a run where it stands.
#[utoipa::path(
    post, path = "/api/runs/{id}/end", tag = "run", operation_id = "end",
    params(("id" = String, Path, description = "Id of the run")),
    responses(
        (status = 200, description = "Ended", body = EntryWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn end_route(
    State(app): State<Arc<App>>,
    Path(id): Path<String>,
) -> Result<Json<EntryWire>, ApiError> {
    app.session(&id).await?.ask(|answer| Command::Do(Box::new(Deed::End), answer)).await.map(Json)
}

/// Lets a run count for what is learned, or leaves it out.
#[utoipa::path(
    put, path = "/api/runs/{id}/learning", tag = "run", operation_id = "countRun",
    request_body = LearningWire,
    params(("id" = String, Path, description = "Id of the run")),
    responses(
        (status = 200, description = "Noted", body = LearningWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn learning_route(
    State(app): State<Arc<App>>,
    Path(id): Path<String>,
    Given(ask): Given<LearningWire>,
) -> Result<Json<LearningWire>, ApiError> {
    let id = RunId::new(&id);
    let example = app.is_example(&id).await?;
    let (run, now_ms) = (id.clone(), app.clock.now_ms());
    app.record(example).write(move |store| store.count_run(&run, ask.count, now_ms)).await?;
    if ask.count {
        // What it has not taught yet it may teach now; one that is not over waits for its end.
        app.teacher().ended(&id, example);
    }
    Ok(Json(ask))
}

/// Records readings of the real run of that still that is going on.
#[utoipa::path(
    post, path = "/api/stills/{name}/readings", tag = "run", operation_id = "readStill",
    request_body = ReadingsAsk,
    params(("name" = String, Path, description = "Name of the still, as plans have it")),
    responses(
        (status = 200, description = "Stored", body = AcceptedWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn still_readings_route(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    Path(name): Path<String>,
    Given(mut ask): Given<ReadingsAsk>,
) -> Result<Json<AcceptedWire>, ApiError> {
    let ask = match &who {
        Who::Device(device) if device.of != DeviceOf::Still(name.clone()) => {
            return Err(Refusal::Device { of: device.of.clone() }.into());
        }
        Who::Device(device) => {
            let post = Counted { boot: ask.boot.take(), sequence: ask.sequence.take() };
            // As the rows were understood: a number has one way of being written there.
            let key = post.key(&device.id, ask.key.take(), &format!("{:?}", ask.rows))?;
            ReadingsAsk { key, ..ask }
        }
        _ => ask,
    };
    read_still(&app, &name, ask).await.map(Json)
}

/// Hands rows to the real run of that still that is going on.
async fn read_still(app: &App, name: &str, ask: ReadingsAsk) -> Result<AcceptedWire, ApiError> {
    running(app, name).await?.ask(move |answer| Command::Read(ask, answer)).await
}

/// Hands what feeds read to the real run of that still that is going on; gives how many rows it
/// took and how many it has.
pub(crate) async fn feed_still(app: &App, name: &str, fed: Fed) -> Result<(u64, u64), ApiError> {
    running(app, name).await?.ask(move |answer| Command::Feed(Box::new(fed), answer)).await
}

/// The session of the real run of that still that is going on.
async fn running(app: &App, name: &str) -> Result<Handle, ApiError> {
    if let Some(session) = app.sessions.of_still(name) {
        return Ok(session);
    }
    let asked = name.to_owned();
    let running = app.own.read(move |store| store.running(&asked)).await?;
    let conflict = |code, what, hint| Err(ApiError::Conflict { code, what, hint });
    match running.as_slice() {
        [] => {
            let what = format!("no run of the still {name} is going on");
            conflict("no_run_going_on", what, "record the heater of a real run of it first")
        }
        [run] => app.session(run.id.as_str()).await,
        runs => {
            let ids: Vec<&str> = runs.iter().map(|run| run.id.as_str()).collect();
            let what =
                format!("{} runs of the still {name} are going on: {}", ids.len(), ids.join(", "));
            conflict("which_run", what, "end the one that is over, or post to a run by its id")
        }
    }
}
