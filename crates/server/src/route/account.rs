//! The account of pure alcohol, for reading: balance, lots, entries, findings, the book.

use std::sync::Arc;

use account::{Name, PureAlcohol, Review, Span};
use axum::Json;
use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use store::StoreError;
use tokio::sync::mpsc;
use tokio_stream::wrappers::ReceiverStream;

use crate::app::App;
use crate::body::Asked;
use crate::problem::{ApiError, Problem};
use crate::wire::account::{
    AccountBalanceWire, AccountEntryWire, BalanceAsk, EntriesAsk, FindingWire, LotRecallWire,
    LotWire, ProfileAsk, ProfileName,
};

/// Entries of an answer where nobody says how many, and at most.
const ENTRIES: (usize, usize) = (100, 1000);
/// Most lots of one answer; judgement: more than a house has standing.
const LOTS_MAX: usize = 10_000;
/// Bytes of a book that are handed on at once, and how many such pieces may wait.
const PIECE_BYTES: usize = 64_000;
const PIECES_MAX: usize = 4;

fn profile(name: ProfileName) -> Result<account::Profile, ApiError> {
    name.profile().ok_or_else(|| ApiError::Inside { what: "a profile cannot be read".to_owned() })
}

/// The balance of pure alcohol from sugar to bottle, every loss by its name.
#[utoipa::path(
    get, path = "/api/book/balance", tag = "book", operation_id = "accountBalance", params(BalanceAsk),
    responses(
        (status = 200, description = "The balance", body = AccountBalanceWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn balance_route(
    State(app): State<Arc<App>>,
    Asked(ask): Asked<BalanceAsk>,
) -> Result<Json<AccountBalanceWire>, ApiError> {
    let profile = profile(ask.profile)?;
    let span =
        Span { from_ms: ask.from_ms.unwrap_or(i64::MIN), upto_ms: ask.upto_ms.unwrap_or(i64::MAX) };
    let read = move |store: &store::Store| {
        store.account(|ledger| {
            let (balance, flows) = (ledger.balance(span), ledger.flows(span));
            AccountBalanceWire::new(ledger, &balance, &flows, &profile)
        })
    };
    app.own.read(read).await.map(Json)
}

/// The lots that stand somewhere, by name; at most 10 000.
#[utoipa::path(
    get, path = "/api/book/lots", tag = "book", operation_id = "accountLots",
    responses((status = 200, description = "The lots", body = Vec<LotWire>))
)]
pub(crate) async fn lots_route(
    State(app): State<Arc<App>>,
) -> Result<Json<Vec<LotWire>>, ApiError> {
    let read = |store: &store::Store| {
        store.account(|ledger| {
            let standing = ledger.lots().flat_map(|(lot, holdings)| {
                holdings.filter(|holding| holding.now() > PureAlcohol::ZERO).map(|holding| {
                    LotWire {
                        lot: lot.to_string(),
                        place: holding.place.to_string(),
                        pure_alcohol_l: holding.now().litres(),
                    }
                })
            });
            standing.take(LOTS_MAX).collect()
        })
    };
    app.own.read(read).await.map(Json)
}

/// One lot followed both ways: what it is made of, and what had some of it.
#[utoipa::path(
    get, path = "/api/book/lots/{lot}", tag = "book", operation_id = "accountLot",
    params(("lot" = String, Path, description = "Its name")),
    responses(
        (status = 200, description = "Both ways; nothing of a lot nobody knows", body = LotRecallWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn lot_route(
    State(app): State<Arc<App>>,
    Path(lot): Path<String>,
) -> Result<Json<LotRecallWire>, ApiError> {
    let lot = Name::new(&lot).map_err(StoreError::from)?;
    let read = move |store: &store::Store| {
        store.account(|ledger| {
            let (made_of, went_to) = (ledger.made_of(&lot), ledger.went_to(&lot));
            LotRecallWire::new(lot.to_string(), &made_of, &went_to)
        })
    };
    app.own.read(read).await.map(Json)
}

/// Entries in the order of their serials.
#[utoipa::path(
    get, path = "/api/book/entries", tag = "book", operation_id = "accountEntries", params(EntriesAsk),
    responses(
        (status = 200, description = "The entries", body = Vec<AccountEntryWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn entries_route(
    State(app): State<Arc<App>>,
    Asked(ask): Asked<EntriesAsk>,
) -> Result<Json<Vec<AccountEntryWire>>, ApiError> {
    let limit = ask.limit.unwrap_or(ENTRIES.0).clamp(1, ENTRIES.1);
    let read = move |store: &store::Store| {
        let entries = store.account_entries(ask.after.unwrap_or_default(), limit)?;
        store.account(|ledger| {
            let one = |one| AccountEntryWire::new(one, ledger.corrected_by(one.number));
            entries.iter().map(one).collect()
        })
    };
    app.own.read(read).await.map(Json)
}

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
    app.own.read(read).await.map(Json)
}

/// The book as a table whose lines are chained, written as it is read; `middlecut book verify` checks it.
#[utoipa::path(
    get, path = "/api/book/table", tag = "book", operation_id = "accountTable", params(ProfileAsk),
    responses(
        (status = 200, description = "The table", body = String, content_type = "text/csv; charset=utf-8"),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn book_route(
    State(app): State<Arc<App>>,
    Asked(ask): Asked<ProfileAsk>,
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
            let written = store::book::write(&name, &mut put, |line| {
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
