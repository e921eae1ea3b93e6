//! The book of the account as a whole: what a reviewer would ask, its digest, its table, its page.

use std::sync::Arc;

use account::Review;
use axum::Json;
use axum::body::Body;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use store::StoreError;
use tokio::sync::mpsc;
use tokio_stream::wrappers::ReceiverStream;

use super::account::profile;
use crate::app::App;
use crate::body::Asked;
use crate::problem::{ApiError, Problem};
use crate::wire::account_ask::{BookAsk, ProfileAsk};
use crate::wire::account_lots::{BookDigestWire, FindingWire};

/// Bytes of a book that are handed on at once, and how many such pieces may wait.
const PIECE_BYTES: usize = 64_000;
const PIECES_MAX: usize = 4;
/// Most entries of a page to print; judgement: a thousand sheets.
const PRINTED_MAX: u64 = 20_000;

/// What a reviewer would ask about.
#[utoipa::path(
    get, path = "/api/book/findings", tag = "book", operation_id = "accountFindings", params(ProfileAsk),
    responses(
        (status = 200, description = "The findings", body = Vec<FindingWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn findings_route(
    State(app): State<Arc<App>>,
    Asked(ask): Asked<ProfileAsk>,
) -> Result<Json<Vec<FindingWire>>, ApiError> {
    let (profile, now_ms) = (profile(ask.profile)?, app.clock.now_ms());
    let read = move |store: &store::Store| {
        let ledger = store.account(Clone::clone)?;
        let mut review = Review::new(&profile, &ledger, &[]);
        store.for_each_account_entry(|numbered| {
            review.take(&numbered);
            Ok(())
        })?;
        Ok(review.finish(now_ms).into_iter().map(FindingWire::from).collect())
    };
    app.house(ask.example).await.read(read).await.map(Json)
}

/// The digest that stands for the whole book as it is now: kept elsewhere, it proves that nothing was
/// written anew.
#[utoipa::path(
    get, path = "/api/book/digest", tag = "book", operation_id = "accountDigest", params(BookAsk),
    responses(
        (status = 200, description = "The digest", body = BookDigestWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn digest_route(
    State(app): State<Arc<App>>,
    Asked(ask): Asked<BookAsk>,
) -> Result<Json<BookDigestWire>, ApiError> {
    let name = profile(ask.profile)?.name;
    let read = move |store: &store::Store| {
        let mut entries = 0;
        let mut nowhere = |_: &str| Ok::<(), StoreError>(());
        let digest = store::book::write(&name, ask.without_names, &mut nowhere, |line| {
            store.for_each_account_entry(|numbered| {
                entries = numbered.number;
                line(&numbered)
            })
        })?;
        Ok(BookDigestWire { entries, digest })
    };
    app.own.read(read).await.map(Json)
}

/// The book as a page to print; a book too large for one page is written by the command line.
#[utoipa::path(
    get, path = "/api/book/page", tag = "book", operation_id = "accountPage", params(BookAsk),
    responses(
        (status = 200, description = "The page", body = String, content_type = "text/html; charset=utf-8"),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn page_route(
    State(app): State<Arc<App>>,
    Asked(ask): Asked<BookAsk>,
) -> Result<Response, ApiError> {
    let profile = profile(ask.profile)?;
    let read = move |store: &store::Store| {
        if store.account(account::Ledger::length)? > PRINTED_MAX {
            return Ok(None);
        }
        let mut table = Vec::new();
        let mut put = |text: &str| {
            table.extend_from_slice(text.as_bytes());
            Ok::<(), StoreError>(())
        };
        store::book::write(&profile.name, ask.without_names, &mut put, |line| {
            store.for_each_account_entry(|numbered| line(&numbered))
        })?;
        Ok(Some(store::book::page(&table)?))
    };
    let page = app.own.read(read).await?.ok_or_else(|| ApiError::Conflict {
        code: "book_too_long",
        what: format!(
            "the book has more than {PRINTED_MAX} entries: that is no page to print here"
        ),
        hint: "middlecut book export writes it",
    })?;
    Ok(([(header::CONTENT_TYPE, "text/html; charset=utf-8")], page).into_response())
}

/// The book as a table whose lines are chained, written as it is read; `middlecut book verify` checks it.
#[utoipa::path(
    get, path = "/api/book/table", tag = "book", operation_id = "accountTable", params(BookAsk),
    responses(
        (status = 200, description = "The table", body = String, content_type = "text/csv; charset=utf-8"),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn book_route(
    State(app): State<Arc<App>>,
    Asked(ask): Asked<BookAsk>,
) -> Result<Response, ApiError> {
    let name = profile(ask.profile)?.name;
    let (pieces, waiting) = mpsc::channel::<Result<Vec<u8>, StoreError>>(PIECES_MAX);
    let reading = Arc::clone(&app);
    tokio::spawn(async move {
        let write = move |store: &store::Store| {
            let mut piece = Vec::with_capacity(PIECE_BYTES);
            let mut put = |text: &str| {
                piece.extend_from_slice(text.as_bytes());
                if piece.len() < PIECE_BYTES {
                    return Ok(());
                }
                // Nobody waits any more: the reading ends.
                pieces
                    .blocking_send(Ok(std::mem::take(&mut piece)))
                    .map_err(|_| StoreError::ReadOnly)
            };
            let written = store::book::write(&name, ask.without_names, &mut put, |line| {
                store.for_each_account_entry(|numbered| line(&numbered))
            });
            let last = written.map(|_| piece);
            // Nobody waits any more: nothing to tell.
            let _ = pieces.blocking_send(last);
            Ok(())
        };
        drop(reading.own.read(write).await);
    });
    let headers = [
        (header::CONTENT_TYPE, "text/csv; charset=utf-8"),
        (header::CONTENT_DISPOSITION, "attachment; filename=\"book.csv\""),
    ];
    Ok((headers, Body::from_stream(ReceiverStream::new(waiting))).into_response())
}
