//! The table of open connections: bounded, and the oldest that asks nothing makes room.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use tokio::sync::Notify;

/// Most connections: every follower and as many requests beside them, and far fewer than the
/// thousand files that systems give a program. Judgement.
const CONNECTIONS_MAX: usize = 200;

/// All open connections, by the order in which they came.
#[derive(Debug, Default)]
pub(super) struct Connections(Mutex<Table>);

#[derive(Debug, Default)]
struct Table {
    next: u64,
    open: BTreeMap<u64, Arc<Mark>>,
}

/// What is known of one connection.
#[derive(Debug, Default)]
struct Mark {
    /// Requests that are being answered.
    asked: AtomicUsize,
    /// Told when it must go.
    shed: Notify,
}

/// A connection's place in the table, given back when it is dropped.
#[derive(Debug)]
pub(super) struct Place {
    table: Arc<Connections>,
    number: u64,
    mark: Arc<Mark>,
}

/// A request that is being answered; over when it is dropped.
#[derive(Debug)]
pub(super) struct Asked(Arc<Mark>);

impl Connections {
    fn table(&self) -> MutexGuard<'_, Table> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A place for one more. Where all are taken the oldest that asks nothing must go; none where
    /// all are being answered.
    pub(super) fn place(self: &Arc<Self>) -> Option<Place> {
        let mut table = self.table();
        if table.open.len() >= CONNECTIONS_MAX {
            let idle = |mark: &Arc<Mark>| mark.asked.load(Ordering::SeqCst) == 0;
            let oldest = table.open.iter().find(|(_, mark)| idle(mark)).map(|(number, _)| *number);
            // It gives its place up here, not only when its task has heard of it.
            let shed = table.open.remove(&oldest?)?;
            shed.shed.notify_one();
        }
        let number = table.next;
        table.next += 1;
        let mark = Arc::new(Mark::default());
        table.open.insert(number, Arc::clone(&mark));
        Some(Place { table: Arc::clone(self), number, mark })
    }
}

impl Place {
    /// Over when this connection must make room.
    pub(super) async fn shed(&self) {
        self.mark.shed.notified().await;
    }

    /// One request begins.
    pub(super) fn ask(&self) -> Asked {
        self.mark.asked.fetch_add(1, Ordering::SeqCst);
        Asked(Arc::clone(&self.mark))
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        self.table.table().open.remove(&self.number);
    }
}

impl Drop for Asked {
    fn drop(&mut self) {
        self.0.asked.fetch_sub(1, Ordering::SeqCst);
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::{CONNECTIONS_MAX, Connections};

    #[tokio::test]
    async fn the_oldest_that_asks_nothing_makes_room() {
        let table = Arc::new(Connections::default());
        let mut places: Vec<_> = (0..CONNECTIONS_MAX).map(|_| table.place().unwrap()).collect();
        let first = places[0].ask();
        let newest = table.place().expect("room is made");
        places[1].shed().await;
        assert_eq!(table.table().open.len(), CONNECTIONS_MAX);
        let asked: Vec<_> = places[2..].iter().map(super::Place::ask).collect();
        let last = newest.ask();
        assert!(table.place().is_none(), "all are being answered");
        drop((first, last, asked));
        places.truncate(1);
        assert_eq!(table.table().open.len(), 2);
    }
}
