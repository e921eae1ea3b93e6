//! Live events of a run: what is known now, then everything as it is said.

use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use axum::Extension;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::response::sse::{Event, KeepAlive};
use axum::response::{IntoResponse, Response, Sse};
use tokio::sync::{broadcast, mpsc, watch};
use tokio_stream::wrappers::ReceiverStream;

use crate::access::{Access, Who};
use crate::app::App;
use crate::body::Asked;
use crate::problem::{ApiError, Problem};
use crate::session::{Command, Following, Said, json};
use crate::squeeze;
use crate::wire::run::{EventsAsk, ResumedWire};

/// Messages that wait for one follower before the feed itself makes them wait.
const WAITING_MAX: usize = 16;
/// Silence after which a comment is sent, so that a lost connection shows.
const KEEP_ALIVE: Duration = Duration::from_secs(5);
/// From one look whether a follower is still let in to the next: who is turned out hears no more.
const LOOK: Duration = Duration::from_secs(2);

type Sender = mpsc::Sender<Result<Event, Infallible>>;

/// Follows a run. `knowledge` (a `KnowledgeMessageWire`, thirteen a second at most, the newest first on
/// connecting, never sent again), `said` (an `EventWire`, its id the number of the entry, sent
/// again from `Last-Event-ID` or `after`), `resumed` (a `ResumedWire`, to one who told such a
/// number, before what is sent again: how much that is, and whether it is all), `recorded` (a `RecordedWire`: ask for the run or its log
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
    Extension(who): Extension<Who>,
    headers: HeaderMap,
    Asked(ask): Asked<EventsAsk>,
) -> Result<Response, ApiError> {
    let place = Arc::clone(&app.followers).try_acquire_owned().map_err(|_| ApiError::Busy)?;
    let known = last_event_id(&headers)?.or(ask.after);
    let session = app.session(&ask.run).await?;
    let following = session.ask(|answer| Command::Follow(known, answer)).await?;
    let (sender, stream) = mpsc::channel(WAITING_MAX);
    let (stopping, access) = (app.stopping.clone(), Arc::clone(&app.at_door.access));
    tokio::spawn(async move {
        let _place = place;
        // `None` means that the follower went away.
        let follower = Follower { sender, known, access, who };
        let _ = follower.follow(following, stopping).await;
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

/// Somebody who follows.
struct Follower {
    sender: Sender,
    /// The last entry they know.
    known: Option<u64>,
    access: Arc<Access>,
    who: Who,
}

impl Follower {
    /// Sends until the follower goes away, lags too far or is turned out, or the program stops.
    async fn follow(
        &self,
        following: Following,
        mut stopping: watch::Receiver<bool>,
    ) -> Option<()> {
        let Following { knowledge, missed, mut feed } = following;
        self.send(message(Said::Knowledge(knowledge))).await?;
        if let Some(after) = self.known {
            let (events, whole) = (missed.as_ref().map_or(0, Vec::len), missed.is_some());
            let data = json(&ResumedWire { after, events, whole });
            self.send(Event::default().event("resumed").data(&*data)).await?;
        }
        let Some(missed) = missed else { return self.reload().await };
        for said in missed {
            self.send(message(said)).await?;
        }
        let mut look = tokio::time::interval(LOOK);
        look.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
        loop {
            tokio::select! {
                said = feed.recv() => match said {
                    Ok(said) => self.send(message(said)).await?,
                    Err(broadcast::error::RecvError::Lagged(_)) => return self.reload().await,
                    Err(broadcast::error::RecvError::Closed) => return None,
                },
                _ = look.tick() => if !self.access.is_still_in(&self.who) { return None },
                _ = stopping.changed() => return None,
                () = self.sender.closed() => return None,
            }
        }
    }

    async fn send(&self, event: Event) -> Option<()> {
        self.sender.send(Ok(event)).await.ok()
    }

    async fn reload(&self) -> Option<()> {
        self.send(Event::default().event("reload").data("{}")).await
    }
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
