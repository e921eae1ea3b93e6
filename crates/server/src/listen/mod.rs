//! Takes connections and answers on them, each with a bounded head, a bounded wait and a place in a
//! bounded table; stops within seconds whoever is still connected.

mod answering;
mod connections;
mod ears;
mod patient;
mod peer;

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use tokio::net::TcpStream;
use tokio::sync::watch;
use tokio::task::JoinSet;

pub(crate) use answering::Answering;
use connections::Connections;
pub(crate) use ears::Ears;
pub(crate) use peer::Peer;

/// How long requests in hand may take to finish when the program stops. With what the sessions and
/// the records take after it, five seconds are kept.
const FINISH: Duration = Duration::from_secs(2);
/// Wait after the system gave no connection, as where all its files are open.
const NO_CONNECTION: Duration = Duration::from_millis(100);

/// Takes connections until `until` is over; `stop` is then told true, so that followers go.
pub(crate) async fn listen(
    ears: Ears,
    answering: Answering,
    until: impl Future<Output = ()>,
    stop: watch::Sender<bool>,
) {
    let connections = Arc::new(Connections::default());
    let mut tasks = JoinSet::new();
    tokio::pin!(until);
    loop {
        tokio::select! {
            () = &mut until => break,
            taken = ears.accept() => match taken {
                Ok((stream, remote)) => {
                    take(&mut tasks, stream, remote, &answering, &connections, &stop);
                }
                Err(error) => {
                    tracing::warn!("no connection: {error}");
                    tokio::time::sleep(NO_CONNECTION).await;
                }
            },
            // Their own ends are no news; what they held is given back.
            Some(_) = tasks.join_next() => {}
        }
    }
    drop(ears);
    let _ = stop.send(true);
    let finished = async { while tasks.join_next().await.is_some() {} };
    if tokio::time::timeout(FINISH, finished).await.is_err() {
        tracing::warn!("{} connections were cut off", tasks.len());
    }
    tasks.shutdown().await;
}

fn take(
    tasks: &mut JoinSet<()>,
    stream: TcpStream,
    remote: SocketAddr,
    answering: &Answering,
    connections: &Arc<Connections>,
    stop: &watch::Sender<bool>,
) {
    let Ok(local) = stream.local_addr() else { return };
    let peer = Peer { remote, local, tls: false };
    if !peer.is_near() {
        return;
    }
    // Where none can be shed the newest is not taken: all others are being answered.
    let Some(place) = connections.place() else { return };
    // Small messages four times a second: none waits for the next.
    let _ = stream.set_nodelay(true);
    tasks.spawn(answering::answer(stream, peer, answering.clone(), place, stop.subscribe()));
}
