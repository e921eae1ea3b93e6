//! Tells the broker of the runs that are going on, as long as they are; listens to nothing.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

use feeds::{Broker, Publish};
use rumqttc::{AsyncClient, Event, EventLoop, Packet, PublishOptions};
use tokio::time::{Instant, MissedTickBehavior, interval, timeout};

use super::connect::{Task, options, words};
use super::discovery::{self, AVAILABILITY, EXPIRE_S, GONE, HERE};
use super::told::{Messages, messages, part_of};
use crate::app::App;
use crate::feeding::Told;
use crate::session::{Command, Known};

/// From one look at the runs to the next.
const LOOK: Duration = Duration::from_secs(1);
/// What did not change is told again after this, so that who shows it knows that it still holds.
const AGAIN: Duration = Duration::from_secs(EXPIRE_S as u64 / 3);
/// Longest wait for what a run knows: one that is busy is told of later.
const PATIENCE: Duration = Duration::from_millis(500);
/// Wait before a broker is looked for again: at first, and at most (judgement).
const WAIT_FIRST: Duration = Duration::from_millis(500);
/// See [`WAIT_FIRST`].
const WAIT_MAX: Duration = Duration::from_secs(10);
/// Longest time to take leave.
const LEAVE_MAX: Duration = Duration::from_secs(1);
/// Most messages that wait for the broker: every one of sixteen stills.
const WAITING_MAX: usize = 512;
/// Most stills of runs that are over whose topics are looked after.
const PAST_STILLS_MAX: usize = 64;

/// What the broker keeps from us.
type Kept = BTreeMap<String, (String, Instant)>;

/// Tells the broker of `feeds.toml` until the program stops.
pub(crate) async fn tell(app: Arc<App>) {
    let mut stopping = app.stopping.clone();
    let mut wait = WAIT_FIRST;
    while !*stopping.borrow() {
        let told = app.feeding.desks().broker().and_then(|broker| {
            let publish = broker.publish.clone()?;
            Some((broker, publish))
        });
        if let Some((broker, publish)) = told {
            let mut came = false;
            let left = until_gone(&app, &broker, &publish, &mut came).await;
            let told = Told { connected: false, why: left.err() };
            app.feeding.desks().tells(told);
            wait = if came { WAIT_FIRST } else { (wait * 2).min(WAIT_MAX) };
        } else {
            wait = LOOK;
        }
        tokio::select! {
            _ = stopping.changed() => break,
            () = tokio::time::sleep(wait) => {}
        }
    }
}

/// Tells that broker until it is gone, the file says otherwise or the program stops.
async fn until_gone(
    app: &App,
    broker: &Broker,
    publish: &Publish,
    came: &mut bool,
) -> Result<(), String> {
    let availability = format!("{}/{AVAILABILITY}", publish.topic);
    let task = Task::Tell { topic: availability.clone(), gone: GONE };
    let options = options(broker, app.feeding.desks().folder(), task)?;
    let (client, mut events) = AsyncClient::builder(options).capacity(WAITING_MAX).build();
    let mut stopping = app.stopping.clone();
    let mut look = interval(LOOK);
    look.set_missed_tick_behavior(MissedTickBehavior::Delay);
    let mut kept = Kept::new();
    loop {
        tokio::select! {
            _ = stopping.changed() => {
                // What is told of a run holds until it ends; that nobody tells it now is told.
                let _ = put(&client, &availability, GONE);
                return leave(&client, &mut events).await;
            }
            _ = look.tick(), if *came => {
                if app.feeding.desks().broker().as_ref() != Some(broker) {
                    let topics = kept.keys().map(String::as_str);
                    topics.chain([availability.as_str()]).for_each(|topic| {
                        let _ = put(&client, topic, "");
                    });
                    return leave(&client, &mut events).await;
                }
                bring(&client, &mut kept, now(app, publish).await);
            }
            event = events.poll() => {
                let event = event.map_err(|error| words(&error))?;
                if matches!(event, Event::Incoming(Packet::ConnAck(_))) {
                    *came = true;
                    app.feeding.desks().tells(Told { connected: true, why: None });
                    put(&client, &availability, HERE)?;
                    for topic in past(app, publish).await {
                        put(&client, &topic, "")?;
                    }
                }
            }
        }
    }
}

/// Everything that is to be told now, and whether that is all.
async fn now(app: &App, publish: &Publish) -> (Messages, bool) {
    let mut all = Messages::new();
    let (known, complete) = known(app).await;
    for known in known {
        let topic = format!("{}/{}", publish.topic, part_of(&known.still));
        all.extend(messages(&topic, &known, app.clock.now_ms()));
        let prefix = publish.discovery.as_deref();
        all.extend(
            prefix.into_iter().flat_map(|p| discovery::messages(p, &publish.topic, &known.still)),
        );
    }
    (all, complete)
}

/// What is known of every real run that is not over, of two of one still the later one last; and
/// whether each of them answered.
pub(crate) async fn known(app: &App) -> (Vec<Known>, bool) {
    let sessions = app.sessions.real();
    let mut all = Vec::new();
    for session in &sessions {
        let asked = timeout(PATIENCE, session.ask(Command::Know)).await;
        all.extend(asked.ok().and_then(Result::ok).map(|known| *known));
    }
    all.sort_by_key(|known| (known.started_ms, known.run.as_str().to_owned()));
    let complete = all.len() == sessions.len();
    (all, complete)
}

/// Topics of stills whose runs are over: told before the program last stopped, perhaps.
async fn past(app: &App, publish: &Publish) -> Vec<String> {
    let on: Vec<String> = known(app).await.0.into_iter().map(|known| known.still).collect();
    let runs = app.own.read(|store| store.runs(false)).await.unwrap_or_default();
    let mut stills: Vec<String> = runs.into_iter().map(|run| run.still).collect();
    stills.sort_unstable();
    stills.dedup();
    stills.retain(|still| !on.contains(still));
    stills.truncate(PAST_STILLS_MAX);
    let topics = stills.iter().flat_map(|still| {
        let topic = format!("{}/{}", publish.topic, part_of(still));
        let prefix = publish.discovery.as_deref();
        let announced = prefix
            .into_iter()
            .flat_map(|p| discovery::messages(p, &publish.topic, still).into_keys());
        super::told::PARTS.iter().map(move |part| format!("{topic}/{part}")).chain(announced)
    });
    topics.collect()
}

/// Brings what the broker keeps to what is to be told. What finds no room is brought at the next
/// look.
fn bring(client: &AsyncClient, kept: &mut Kept, (told, complete): (Messages, bool)) {
    let over = kept.keys().filter(|topic| complete && !told.contains_key(*topic));
    let over: Vec<String> = over.cloned().collect();
    for topic in over {
        if put(client, &topic, "").is_ok() {
            kept.remove(&topic);
        }
    }
    for (topic, payload) in told {
        let known = kept.get(&topic);
        if known.is_some_and(|(known, at)| *known == payload && at.elapsed() < AGAIN) {
            continue;
        }
        if put(client, &topic, &payload).is_ok() {
            kept.insert(topic, (payload, Instant::now()));
        }
    }
}

/// A retained message; an empty one takes it away.
fn put(client: &AsyncClient, topic: &str, payload: &str) -> Result<(), String> {
    let options = PublishOptions::at_least_once().retain(true);
    client.try_publish(topic, payload.to_owned(), options).map_err(|error| error.to_string())
}

async fn leave(client: &AsyncClient, events: &mut EventLoop) -> Result<(), String> {
    let gone = async {
        let _ = client.disconnect().await;
        while events.poll().await.is_ok() {}
    };
    let _ = timeout(LEAVE_MAX, gone).await;
    Ok(())
}
