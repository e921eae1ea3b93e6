//! Puts what is new at the desks into the runs and washes that go on, by the way of every other row.

use std::sync::Arc;
use std::time::Duration;

use feeds::Whose;
use tokio::task::JoinSet;

use super::desks::{Outcome, Outgoing};
use crate::app::App;
use crate::problem::ApiError;
use crate::route::acts::feed_still;
use crate::wash_feed::feed_wash;

/// What is read within this time goes together: one entry in the log (judgement: the messages of a
/// board and the line of another come within milliseconds; each entry waits for the disk).
const GATHER: Duration = Duration::from_millis(20);
/// Longest wait for news: what was not taken is tried again.
const LOOK: Duration = Duration::from_millis(500);

/// Puts rows until the program stops. Nobody waits for it, and no still waits for another.
pub(crate) async fn put(app: Arc<App>) {
    let mut stopping = app.stopping.clone();
    let mut putting = JoinSet::new();
    loop {
        let desks = app.feeding.desks();
        tokio::select! {
            _ = stopping.changed() => break,
            _ = tokio::time::timeout(LOOK, desks.news()) => {}
        }
        tokio::select! {
            _ = stopping.changed() => break,
            () = tokio::time::sleep(GATHER) => {}
        }
        while putting.try_join_next().is_some() {}
        for outgoing in desks.outgoing() {
            let app = Arc::clone(&app);
            putting.spawn(async move { put_one(&app, outgoing).await });
        }
    }
    putting.shutdown().await;
}

async fn put_one(app: &App, outgoing: Outgoing) {
    let fed = outgoing.fed.clone();
    let stored = match outgoing.whose {
        Whose::Still => feed_still(app, &outgoing.still, fed).await,
        Whose::Wash => feed_wash(app, &outgoing.still, &fed).await,
    };
    let outcome = match stored {
        Ok((rows, of_run)) => Outcome::Stored { rows, of_run },
        // A full queue has taken nothing; of a session that went away amid rows, one reading may
        // come twice at worst, each time at its own time.
        Err(error @ ApiError::Busy) => Outcome::Again(error.to_string()),
        Err(error) => Outcome::Refused(error.to_string()),
    };
    app.feeding.desks().settled(outgoing, outcome);
}
