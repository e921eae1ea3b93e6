//! Acts entered into the account of pure alcohol.

use std::sync::Arc;

use account::{
    AccountError, Count, Draft, Entry, EntryKind, Instrument, Leg, Name, Numbered, Place,
    PureAlcohol, Raw, TypedLeg, Unit,
};
use alcoholometry::gauge::Scale;
use axum::Json;
use axum::extract::{Path, State};
use finishing::entering::Stand;
use quantities::TypedValue;
use store::time::parse_start;
use store::{IntoBook, Prices, RunId, StoreError};

use super::account::profile;
use crate::app::App;
use crate::body::Given;
use crate::clock::{period_end_ms, zone_offset_minutes};
use crate::problem::{ApiError, Problem};
use crate::typed::checked;
use crate::wire::account_ask::{
    ByAsk, CloseAsk, EnterAsk, ProfileName, ReadAsk, RunIntoBookAsk, StockTakeAsk,
};
use crate::wire::account_entry::AccountEntryWire;
use crate::wire::bench::ScaleWire;
use crate::wire::record::EnteredWire;

pub(super) fn refused(error: AccountError) -> ApiError {
    StoreError::from(error).into()
}

/// An entry with its moments and people.
pub(super) fn by(ask: ByAsk, kind: EntryKind, now_ms: i64) -> Result<Entry, ApiError> {
    let (act_ms, zone_minutes) = match &ask.act {
        None => (now_ms, zone_offset_minutes(now_ms)),
        Some(act) => parse_start(act).ok_or_else(|| {
            let bound = "must be a moment with its zone, as 2026-10-03T14:20:00+02:00";
            ApiError::field("act", act, bound, "leave it out for now")
        })?,
    };
    let mut entry = Entry::new(kind, act_ms, &ask.by);
    entry.entered_ms = now_ms;
    entry.zone_minutes = zone_minutes;
    entry.people.read = ask.read_by;
    entry.people.checked = ask.checked_by;
    entry.note = ask.note;
    entry.key = ask.key;
    Ok(entry)
}

fn read(ask: ReadAsk) -> Result<(Raw, Vec<Instrument>), ApiError> {
    let unit = Unit::ALL.into_iter().find(|unit| unit.word() == ask.unit);
    let unit = unit.ok_or_else(|| {
        ApiError::field("read.unit", &ask.unit, "must be l, kg, us_gal or lb", "as it was read")
    })?;
    let scale = match ask.scale {
        ScaleWire::Vol20 => Scale::Vol20,
        ScaleWire::Vol60 => Scale::Vol60,
        ScaleWire::Proof60 => Scale::Proof60,
        ScaleWire::Density => Scale::Density,
    };
    let (quantity, reading, celsius) = (ask.quantity, ask.reading, ask.celsius);
    let instrument = |id| Instrument { id, due_ms: None, calibration: None };
    let raw = Raw { quantity, unit, reading, scale, celsius, quantity_sd: None };
    Ok((raw, ask.instruments.into_iter().map(instrument).collect()))
}

/// How the numbers of a reading were typed.
fn typed(asked: &[EnteredWire], read: Option<&ReadAsk>) -> Result<Vec<TypedValue>, ApiError> {
    checked(asked, |field| {
        let read = read?;
        match (field, read.unit.as_str()) {
            ("read.celsius", _) => Some((read.celsius, "°C")),
            ("read.quantity", "l") => Some((read.quantity, "L")),
            ("read.quantity", "kg") => Some((read.quantity, "kg")),
            _ => None,
        }
    })
}

async fn put(
    app: &App,
    now_ms: i64,
    make: impl FnOnce(&account::Ledger) -> Result<Entry, AccountError> + Send + 'static,
) -> Result<Json<AccountEntryWire>, ApiError> {
    let numbered = app.own.write(move |store| store.enter(make, now_ms)).await?;
    Ok(Json(told(&numbered)?))
}

/// An entry as it is told where nobody says in which unit.
pub(super) fn told(numbered: &Numbered) -> Result<AccountEntryWire, ApiError> {
    Ok(AccountEntryWire::new(numbered, None, &profile(ProfileName::default())?))
}

/// Enters an act. It is refused where any place would hold less than nothing, in the order of the acts.
#[utoipa::path(
    post, path = "/api/book/entries", tag = "book", operation_id = "enterAccount", request_body = EnterAsk,
    responses(
        (status = 200, description = "The entry", body = AccountEntryWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn enter_route(
    State(app): State<Arc<App>>,
    Given(ask): Given<EnterAsk>,
) -> Result<Json<AccountEntryWire>, ApiError> {
    let now_ms = app.clock.now_ms();
    let kind = EntryKind::of_word(&ask.kind).ok_or_else(|| {
        let all: Vec<&str> = EntryKind::ALL.iter().map(|kind| kind.word()).collect();
        ApiError::field("kind", &ask.kind, format!("must be one of {}", all.join(", ")), "as blend")
    })?;
    let mut entry = by(ask.by, kind, now_ms)?;
    entry.spirit = ask.spirit;
    entry.corrects = ask.corrects;
    entry.about = ask.about;
    entry.spent = ask.spent.map(Into::into);
    let legs = |texts: &[String]| {
        texts.iter().map(|text| TypedLeg::of_text(text)).collect::<Result<Vec<_>, _>>()
    };
    entry.typed = typed(&ask.entered, ask.read.as_ref())?;
    let from = legs(&ask.from).map_err(refused)?;
    let to = legs(&ask.to).map_err(refused)?;
    let read = ask.read.map(read).transpose()?;
    let draft = Draft { entry, from, to, read };
    if ask.only_look {
        let look = move |store: &store::Store| {
            let looked = store.account(|ledger| {
                let entry = draft.resolve(ledger)?;
                ledger.judge(&entry)?;
                Ok::<_, AccountError>(Numbered { number: ledger.length() + 1, entry })
            })?;
            Ok(looked?)
        };
        return Ok(Json(told(&app.own.read(look).await?)?));
    }
    put(&app, now_ms, move |ledger| draft.resolve(ledger)).await
}

/// Enters a count: what is less or more than in the book is explained, or stays not explained.
#[utoipa::path(
    post, path = "/api/book/stock-take", tag = "book", operation_id = "stockTake", request_body = StockTakeAsk,
    responses(
        (status = 200, description = "The entry", body = AccountEntryWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn stock_take_route(
    State(app): State<Arc<App>>,
    Given(ask): Given<StockTakeAsk>,
) -> Result<Json<AccountEntryWire>, ApiError> {
    let now_ms = app.clock.now_ms();
    let unit = profile(ask.profile)?.unit;
    let count = Count {
        place: Place::of_text(&ask.place).map_err(refused)?,
        lot: Name::new(&ask.lot).map_err(refused)?,
        found: unit.alcohol(ask.found).map_err(refused)?,
        lost_to: ask.lost_to.as_deref().map(Place::of_text).transpose().map_err(refused)?,
    };
    let mut entry = by(ask.by, EntryKind::StockTake, now_ms)?;
    entry.corrects = ask.corrects;
    entry.typed = unit.typed("found_l", ask.found).into_iter().collect();
    put(&app, now_ms, move |ledger| ledger.stock_take(&count, entry)).await
}

/// Closes a period: nothing is entered or corrected in it any more.
#[utoipa::path(
    post, path = "/api/book/close", tag = "book", operation_id = "closeBook", request_body = CloseAsk,
    responses(
        (status = 200, description = "The entry", body = AccountEntryWire),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn close_route(
    State(app): State<Arc<App>>,
    Given(ask): Given<CloseAsk>,
) -> Result<Json<AccountEntryWire>, ApiError> {
    let now_ms = app.clock.now_ms();
    let upto_ms = period_end_ms(&ask.upto).ok_or_else(|| {
        let bound = "must be a month as 2026-10, or a moment with its zone";
        ApiError::field("upto", &ask.upto, bound, "the last moment of the period")
    })?;
    let entry = by(ask.by, EntryKind::Close, now_ms)?;
    put(&app, now_ms, move |ledger| ledger.close(upto_ms, entry)).await
}

/// Takes a run that is over into the account: its charge, its jars, what was lost. The balance of its
/// alcohol must be worked out before: asking for that begins it.
#[utoipa::path(
    post, path = "/api/runs/{id}/book", tag = "book", operation_id = "runIntoBook", request_body = RunIntoBookAsk,
    params(("id" = String, Path, description = "Id of the run")),
    responses(
        (status = 200, description = "The entries", body = Vec<AccountEntryWire>),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn run_route(
    State(app): State<Arc<App>>,
    Path(id): Path<String>,
    Given(ask): Given<RunIntoBookAsk>,
) -> Result<Json<Vec<AccountEntryWire>>, ApiError> {
    let (now_ms, run) = (app.clock.now_ms(), RunId::new(&id));
    let leg = |text: &str| -> Result<Leg, ApiError> {
        Ok(Stand::of_text(text).map_err(refused)?.leg(PureAlcohol::ZERO))
    };
    let from = leg(&ask.from)?;
    let feints = ask.feints_from.as_deref().map(leg).transpose()?;
    let mut entry = by(ask.by, EntryKind::Charge, now_ms)?;
    entry.spent = ask.spent.map(Into::into);
    let prices = Prices { kwh: ask.price_kwh, water_m3: ask.price_water_m3 };
    let into = IntoBook { from, feints, entry, prices };
    let entered = app.own.write(move |store| store.run_into_book(&run, &into, now_ms)).await?;
    entered.iter().map(told).collect::<Result<_, _>>().map(Json)
}
