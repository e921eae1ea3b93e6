//! The sheet of a run without a server: from a record that is only read, as it stood when it was last
//! written to.

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use advise::Priority;
use store::{RunId, Store, StoreError};

use super::{Told, page, printed_at};
use crate::alerts::{AlertSettings, Alerts};
use crate::clock::Clock;
use crate::forecasts::ForecastCache;
use crate::keeper::Keeper;
use crate::serve::{EXAMPLE_FOLDER, ServeError};
use crate::session::{RunSession, SessionDeps};
use crate::teacher::{self, Teacher};

/// The sheet of a run of the record in that folder, also while a server writes to it. Nothing is
/// written, nobody is called, and what was rehearsed in the example house is found too. A run that is
/// going on stands as its last entry left it.
///
/// # Errors
/// [`ServeError`] for a record or a run that cannot be read.
pub fn printed_sheet(data_dir: &Path, run: &str, now_ms: i64) -> Result<String, ServeError> {
    let id = RunId::new(run);
    let own = Store::open_read_only(data_dir)?;
    let store = match own.length(&id) {
        Err(StoreError::NoRun { run: named }) => {
            let example = Store::open_read_only(&data_dir.join(EXAMPLE_FOLDER));
            let example = example.map_err(|_| StoreError::NoRun { run: named })?;
            example.length(&id)?;
            example
        }
        known => known.map(|_| own)?,
    };
    let head = store.head()?;
    let written = store.entries_before(&id, i64::MAX, 1)?;
    let stood_ms = written.last().map_or(now_ms, |last| last.stored_ms);
    let (clock, _) = Clock::by_hand(stood_ms);
    let keeper = Keeper::start(store)?;
    let silent = AlertSettings {
        command: None,
        limit: Duration::ZERO,
        from: Priority::Critical,
        bell: false,
        second_person: None,
        second_command: None,
        test_at_start: false,
    };
    let teacher = Teacher::start(&keeper, &keeper, &clock, teacher::FIT)?;
    let alerts = Alerts::telling(silent)?;
    let deps = SessionDeps {
        keeper: keeper.clone(),
        clock,
        teacher: Arc::clone(&teacher),
        forecasts: ForecastCache::new(),
        alerts: Arc::clone(&alerts),
        estimates: false,
    };
    let session = RunSession::open(&id, deps);
    let told = session.map(|session| {
        let run = session.show();
        let mut printed = printed_at(now_ms, run.zone_offset_minutes);
        if run.started && run.ended.is_none() {
            let stood = printed_at(stood_ms, run.zone_offset_minutes);
            printed = format!("{printed}, as it stood {stood}");
        }
        page(&Told { run, alarms: session.alarm_review(), head, printed })
    });
    alerts.stop();
    teacher.stop();
    keeper.close();
    told.map_err(|error| ServeError::Resume(error.to_string()))
}
