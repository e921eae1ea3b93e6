//! Puts what is new at the desks into the runs that are going on, by the way of every other row.

use std::sync::Arc;
use std::time::Duration;

use sense::SentRow;

use super::desks::Outgoing;
use crate::app::App;
use crate::problem::ApiError;
use crate::route::acts::read_still;
use crate::wire::record::ReadingsAsk;

/// From one look at the desks to the next.
const LOOK: Duration = Duration::from_millis(100);

/// Puts rows until the program stops. Nobody waits for it, and it waits for one answer at a time.
pub(crate) async fn put(app: Arc<App>) {
    let mut stopping = app.stopping.clone();
    loop {
        for row in app.feeding.desks().outgoing() {
            tokio::select! {
                _ = stopping.changed() => return,
                () = put_one(&app, &row) => {}
            }
        }
        tokio::select! {
            _ = stopping.changed() => return,
            () = tokio::time::sleep(LOOK) => {}
        }
    }
}

async fn put_one(app: &App, row: &Outgoing) {
    let cells = row.fresh.row;
    let ask = ReadingsAsk::of(vec![SentRow { cells, ..SentRow::default() }]);
    let outcome = read_still(app, &row.still, ask).await;
    // A full queue has taken nothing; of a session that went away amid a row, one reading may come
    // twice at worst, each time as one of now.
    let again = matches!(outcome, Err(ApiError::Busy));
    let outcome = outcome.map(|_| ()).map_err(|error| error.to_string());
    app.feeding.desks().settled(row, outcome, again);
}
