//! Live events of a run: what is known now, then everything as it is said.

use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use axum::extract::State;
use axum::http::HeaderMap;
use axum::response::sse::{Event, KeepAlive};
use axum::response::{IntoResponse, Response, Sse};
use tokio::sync::{broadcast, mpsc, watch};
use tokio_stream::wrappers::ReceiverStream;

use crate::app::App;
use crate::body::Asked;
use crate::problem::{ApiError, Problem};
use crate::session::{Command, Following, Said};
use crate::squeeze;
use crate::wire::run::EventsAsk;

/// Messages that wait for one follower before the feed itself makes them wait.
const WAITING_MAX: usize = 16;
/// Silence after which a comment is sent, so that a lost connection shows.
const KEEP_ALIVE: Duration = Duration::from_secs(5);

type Sender = mpsc::Sender<Result<Event, Infallible>>;

/// Follows a run. `knowledge` (a `KnowledgeMessageWire`, eight a second at most, the newest first on
/// connecting, never sent again), `said` (an `EventWire`, its id the number of the entry, sent
/// again from `Last-Event-ID` or `after`), `recorded` (a `RecordedWire`: ask for the run or its log
/// again; who was away compares `recorded` of the advice), `speed` (a `SpeedWire`), `reload` (too much was
/// missed: ask for the whole run again). Most of a message is that of the one before: who takes gzip
/// gets each squeezed against those, a tenth of the bytes or less.
#[utoipa::path(
    get, path = "/api/events", tag = "run", operation_id = "events", params(EventsAsk),
    responses(
        (status = 200, description = "The feed", body = String, content_type = "text/event-stream"),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
        (status = 503, description = "Too many followers", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn events_route(
    State(app): State<Arc<App>>,
    headers: HeaderMap,
    Asked(ask): Asked<EventsAsk>,
) -> Result<Response, ApiError> {
    let place = Arc::clone(&app.followers).try_acquire_owned().map_err(|_| ApiError::Busy)?;
    let known = last_event_id(&headers)?.or(ask.after);
    let session = app.session(&ask.run).await?;
    let following = session.ask(|answer| Command::Follow(known, answer)).await?;
    let (sender, stream) = mpsc::channel(WAITING_MAX);
    let stopping = app.stopping.clone();
    tokio::spawn(async move {
        let _place = place;
        // `None` means that the follower went away.
        let _ = follow(&sender, following, stopping).await;
    });
    let keep_alive = KeepAlive::new().interval(KEEP_ALIVE).text("still here");
    let feed = Sse::new(ReceiverStream::new(stream)).keep_alive(keep_alive).into_response();
    Ok(if squeeze::is_taken(&headers) { squeeze::squeezed(feed) } else { feed })
}

fn last_event_id(headers: &HeaderMap) -> Result<Option<u64>, ApiError> {
    let Some(value) = headers.get("last-event-id") else { return Ok(None) };
    let text = String::from_utf8_lossy(value.as_bytes()).trim().to_owned();
    if text.is_empty() {
        return Ok(None);
    }
    text.parse().map(Some).map_err(|_| {
        let bound = "must be the number of an entry";
        ApiError::field("Last-Event-ID", text, bound, "send the last id that was received")
    })
}

/// Sends until the follower goes away, lags too far, or the program stops.
async fn follow(
    sender: &Sender,
    following: Following,
    mut stopping: watch::Receiver<bool>,
) -> Option<()> {
    let Following { knowledge, missed, mut feed } = following;
    send(sender, message(Said::Knowledge(knowledge))).await?;
    let Some(missed) = missed else { return reload(sender).await };
    for said in missed {
        send(sender, message(said)).await?;
    }
    loop {
        tokio::select! {
            said = feed.recv() => match said {
                Ok(said) => send(sender, message(said)).await?,
                Err(broadcast::error::RecvError::Lagged(_)) => return reload(sender).await,
                Err(broadcast::error::RecvError::Closed) => return None,
            },
            _ = stopping.changed() => return None,
            () = sender.closed() => return None,
        }
    }
}

async fn send(sender: &Sender, event: Event) -> Option<()> {
    sender.send(Ok(event)).await.ok()
}

async fn reload(sender: &Sender) -> Option<()> {
    send(sender, Event::default().event("reload").data("{}")).await
}

fn message(said: Said) -> Event {
    match said {
        Said::Knowledge(text) => Event::default().event("knowledge").data(&*text),
        Said::Event(0, text) => Event::default().event("said").data(&*text),
        Said::Event(entry, text) => {
            Event::default().event("said").id(entry.to_string()).data(&*text)
        }
        Said::Recorded(text) => Event::default().event("recorded").data(&*text),
        Said::Speed(text) => Event::default().event("speed").data(&*text),
    }
}
