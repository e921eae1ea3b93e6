//! The account of pure alcohol, for reading: balance, lots, entries, which acts there are.

use std::sync::Arc;

use account::{Name, Span};
use axum::Json;
use axum::extract::{Path, State};
use store::StoreError;

use crate::app::App;
use crate::body::Asked;
use crate::problem::{ApiError, Problem};
use crate::wire::account::AccountBalanceWire;
use crate::wire::account_ask::{BalanceAsk, EntriesAsk, ProfileAsk, ProfileName};
use crate::wire::account_entry::AccountEntryWire;
use crate::wire::account_lots::{EntryKindsWire, LotRecallWire, StandingLotWire};

/// Entries of an answer where nobody says how many, and at most.
const ENTRIES: (usize, usize) = (100, 1000);
/// Most lots of one answer; judgement: more than a house has standing.
const LOTS_MAX: usize = 10_000;

pub(super) fn profile(name: ProfileName) -> Result<account::Profile, ApiError> {
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
        store.account(|ledger| AccountBalanceWire::of(ledger, span, &profile))
    };
    app.house(ask.example).await.read(read).await.map(Json)
}

/// The lots that stand somewhere, by name; at most 10 000.
#[utoipa::path(
    get, path = "/api/book/lots", tag = "book", operation_id = "accountLots", params(ProfileAsk),
    responses(
        (status = 200, description = "The lots", body = Vec<StandingLotWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn lots_route(
    State(app): State<Arc<App>>,
    Asked(ask): Asked<ProfileAsk>,
) -> Result<Json<Vec<StandingLotWire>>, ApiError> {
    let profile = profile(ask.profile)?;
    let read = move |store: &store::Store| {
        let lots = store.standing_lots(false, LOTS_MAX)?;
        Ok(lots.iter().map(|lot| StandingLotWire::new(lot, &profile)).collect())
    };
    app.house(ask.example).await.read(read).await.map(Json)
}

/// Which acts can be entered, and between which places each moves alcohol.
#[utoipa::path(
    get, path = "/api/book/kinds", tag = "book", operation_id = "entryKinds",
    responses((status = 200, description = "The acts", body = EntryKindsWire))
)]
pub(crate) async fn kinds_route() -> Json<EntryKindsWire> {
    Json(EntryKindsWire::all())
}

/// One lot followed both ways: what it is made of, and what had some of it.
#[utoipa::path(
    get, path = "/api/book/lots/{lot}", tag = "book", operation_id = "accountLot",
    params(("lot" = String, Path, description = "Its name"), ProfileAsk),
    responses(
        (status = 200, description = "Both ways; nothing of a lot nobody knows", body = LotRecallWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn lot_route(
    State(app): State<Arc<App>>,
    Path(lot): Path<String>,
    Asked(ask): Asked<ProfileAsk>,
) -> Result<Json<LotRecallWire>, ApiError> {
    let profile = profile(ask.profile)?;
    let lot = Name::new(&lot).map_err(StoreError::from)?;
    let read = move |store: &store::Store| {
        store.account(|ledger| {
            let (made_of, went_to) = (ledger.made_of(&lot), ledger.went_to(&lot));
            LotRecallWire::new(lot.to_string(), &made_of, &went_to, &profile)
        })
    };
    app.house(ask.example).await.read(read).await.map(Json)
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
    let profile = profile(ask.profile)?;
    let read = move |store: &store::Store| {
        // Serials have no gaps: those before one are as many numbers.
        let (after, limit) = match ask.before {
            Some(before) => {
                let last = before.min(store.account(account::Ledger::length)? + 1).max(1) - 1;
                let after = last.saturating_sub(limit as u64);
                (after, usize::try_from(last - after).unwrap_or(limit))
            }
            None => (ask.after.unwrap_or_default(), limit),
        };
        let entries = store.account_entries(after, limit)?;
        store.account(|ledger| {
            let one = |one| AccountEntryWire::new(one, ledger.corrected_by(one.number), &profile);
            entries.iter().map(one).collect()
        })
    };
    app.house(ask.example).await.read(read).await.map(Json)
}
