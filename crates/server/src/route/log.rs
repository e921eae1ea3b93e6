//! The log of a run, whole, page by page, the newest first, in words.

use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, State};
use store::{Entry, EntryNumber, Logged, RunId, Store, StoreError};

use crate::amendments::Amendments;
use crate::app::App;
use crate::body::Asked;
use crate::log_words::line;
use crate::problem::{ApiError, Problem};
use crate::wire::run::{LogAsk, LogEntryWire, LogWire};

/// Lines of a page where nobody says.
const LIMIT: usize = 100;
/// Most lines of a page.
const LIMIT_MAX: usize = 500;
/// Entries that are read at once.
const PAGE: usize = 500;
/// Most entries that are looked at for one page: readings, which share a line, are most of them.
const LOOKED_AT_MAX: usize = 20_000;

/// The log of a run, the newest first.
#[utoipa::path(
    get, path = "/api/runs/{id}/log", tag = "run", operation_id = "runLog",
    params(("id" = String, Path, description = "Id of the run"), LogAsk),
    responses(
        (status = 200, description = "A part of the log", body = LogWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn log_route(
    State(app): State<Arc<App>>,
    Path(id): Path<String>,
    Asked(ask): Asked<LogAsk>,
) -> Result<Json<LogWire>, ApiError> {
    let limit = ask.limit.unwrap_or(LIMIT);
    if !(1..=LIMIT_MAX).contains(&limit) {
        let bound = format!("must lie from 1 to {LIMIT_MAX}");
        return Err(ApiError::field("limit", limit, bound, "ask for the rest with `before`"));
    }
    let before = ask.before.and_then(|entry| EntryNumber::try_from(entry).ok());
    let id = RunId::new(&id);
    let keeper = app.keeper_of(&id).await?;
    let page = keeper.read(move |store| page(store, &id, before, limit)).await?;
    Ok(Json(page))
}

/// The lines before an entry.
fn page(
    store: &Store,
    run: &RunId,
    before: Option<EntryNumber>,
    limit: usize,
) -> Result<LogWire, StoreError> {
    let amendments = Amendments::of(store, run)?;
    let mut from = before.unwrap_or(EntryNumber::MAX);
    let mut lines: Vec<LogEntryWire> = Vec::new();
    let mut rows: Option<Rows> = None;
    for _ in 0..LOOKED_AT_MAX / PAGE {
        let entries = store.entries_before(run, from, PAGE)?;
        let last = entries.len() < PAGE;
        for logged in entries {
            let number = logged.number;
            if let Some(logged) = Rows::take(&mut rows, logged) {
                let line = line(store, run, &amendments, &logged)?;
                if line.is_some() || lines.len() >= limit {
                    lines.extend(rows.take().map(Rows::line));
                }
                if lines.len() >= limit {
                    return Ok(part(lines, Some(from)));
                }
                lines.extend(line);
            }
            from = number;
        }
        if last {
            lines.extend(rows.take().map(Rows::line));
            return Ok(part(lines, None));
        }
    }
    lines.extend(rows.take().map(Rows::line));
    Ok(part(lines, Some(from)))
}

fn part(entries: Vec<LogEntryWire>, before: Option<EntryNumber>) -> LogWire {
    let next_before = before.and_then(|entry| u64::try_from(entry).ok());
    LogWire { entries, more: next_before.is_some(), next_before }
}

/// Rows of readings that came one after the other: one line.
struct Rows {
    entry: EntryNumber,
    stored_ms: i64,
    count: usize,
    first_s: f64,
    last_s: f64,
}

impl Rows {
    /// Takes an entry of readings; gives back any other.
    fn take(rows: &mut Option<Self>, logged: Logged) -> Option<Logged> {
        let Entry::Readings(read) = &logged.entry else { return Some(logged) };
        let first_s = read.first().map_or(0.0, |row| row.0);
        let last_s = read.last().map_or(0.0, |row| row.0);
        let (entry, stored_ms) = (logged.number, logged.stored_ms);
        let rows = rows.get_or_insert(Self { entry, stored_ms, count: 0, first_s, last_s });
        rows.count += read.len();
        rows.first_s = rows.first_s.min(first_s);
        rows.last_s = rows.last_s.max(last_s);
        None
    }

    fn line(self) -> LogEntryWire {
        let words = match self.count {
            1 => "1 row of readings".to_owned(),
            count => format!("{count} rows of readings"),
        };
        crate::log_words::plain(self.entry, Some(self.first_s), self.stored_ms, "readings", words)
    }
}
