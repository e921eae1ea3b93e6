//! Listens to the messages of a broker, and comes back to it when it was away.
//!
//! It subscribes with QoS 1 and asks for no session that outlasts the connection: what was sent
//! while nobody listened is no reading of now.

use std::time::Duration;

use feeds::{Broker, Message, Messages, Source, Unread};
use rumqttc::{AsyncClient, Event, EventLoop, Packet, QoS, SubscribeReasonCode};

use super::line::Line;
use crate::broker;

/// Time between two looks at whether to stop.
const STOP_LOOK: Duration = Duration::from_millis(200);
/// Wait before a broker is looked for again: at first, and at most (judgement: it is back in seconds;
/// one that is away for a day costs nothing).
const WAIT_FIRST: Duration = Duration::from_millis(500);
/// See [`WAIT_FIRST`].
const WAIT_MAX: Duration = Duration::from_secs(10);

/// The whole life of the thread.
pub(super) fn listen(source: &Source, broker: &Broker, line: &Line) {
    let runtime = match tokio::runtime::Builder::new_current_thread().enable_all().build() {
        Ok(runtime) => runtime,
        Err(error) => return line.say(&format!("the system gives no thread: {error}")),
    };
    let mut wait = WAIT_FIRST;
    while !line.is_over() {
        let mut came = false;
        let left = runtime.block_on(until_gone(source, broker, line, &mut came));
        if let Err(what) = left {
            line.say(&format!("{}: {what}", source.path));
        }
        if came {
            wait = WAIT_FIRST;
        }
        if line.wait(wait) {
            break;
        }
        wait = (wait * 2).min(WAIT_MAX);
    }
    // A name that is still being looked up holds nobody up.
    runtime.shutdown_background();
}

/// Listens until the broker is gone, or until it is told to stop.
async fn until_gone(
    source: &Source,
    broker: &Broker,
    line: &Line,
    came: &mut bool,
) -> Result<(), String> {
    let options = broker::options(broker, line.folder(), broker::Task::Listen)?;
    let (client, mut events) =
        AsyncClient::builder(options).capacity(2 * feeds::VALUES_MAX).build();
    let mut messages = Messages::default();
    let mut look = tokio::time::interval(STOP_LOOK);
    loop {
        let event = tokio::select! {
            _ = look.tick() => {
                if line.is_over() {
                    return leave(&client, &mut events).await;
                }
                continue;
            }
            event = events.poll() => event.map_err(|error| broker::words(&error))?,
        };
        match event {
            Event::Incoming(Packet::ConnAck(_)) => {
                *came = true;
                subscribe(source, &client)?;
                line.tell_values(&awaited(source));
            }
            Event::Incoming(Packet::SubAck(answer)) => {
                let refused = |code: &SubscribeReasonCode| *code == SubscribeReasonCode::Failure;
                if answer.return_codes.iter().any(refused) {
                    return Err("the broker refuses the topic; it may know another user".to_owned());
                }
            }
            Event::Incoming(Packet::Publish(publish)) => {
                let Ok(topic) = std::str::from_utf8(&publish.topic) else { continue };
                let (payload, retained) = (&publish.payload[..], publish.retain);
                let message = Message { topic, payload, retained };
                line.tell_values(&messages.take(line.now_s(), &message, &source.values));
            }
            _ => {}
        }
    }
}

/// What is said of each value before anything came.
fn awaited(source: &Source) -> Vec<(usize, Result<f64, Unread>)> {
    let topics = source.values.iter().map(|wanted| wanted.topic.clone().unwrap_or_default());
    topics.enumerate().map(|(place, topic)| (place, Err(Unread::Awaited(topic)))).collect()
}

fn subscribe(source: &Source, client: &AsyncClient) -> Result<(), String> {
    let mut filters: Vec<&str> =
        source.values.iter().filter_map(|wanted| wanted.topic.as_deref()).collect();
    filters.sort_unstable();
    filters.dedup();
    for filter in filters {
        client.try_subscribe(filter, QoS::AtLeastOnce).map_err(|error| error.to_string())?;
    }
    Ok(())
}

/// Takes leave of the broker, so that it need not find out by itself.
async fn leave(client: &AsyncClient, events: &mut EventLoop) -> Result<(), String> {
    let _ = client.disconnect().await;
    let gone = async { while events.poll().await.is_ok() {} };
    let _ = tokio::time::timeout(STOP_LOOK, gone).await;
    Ok(())
}
