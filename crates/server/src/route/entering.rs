//! What was done at the bench, taken into the book: looked at first, then entered once.

use std::sync::Arc;

use account::{Entry, EntryKind, Name, Place};
use alcoholometry::typed::VOL;
use axum::Json;
use axum::extract::State;
use finishing::cuts::Table;
use finishing::entering::{
    Act, Bottled, JarsMixed, Regauged, Stand, bottled, carbon, cask_filled, feints_stand,
    macerated, reduced,
};
use store::RunId;

use super::account_entry::{by, refused, told};
use super::{finishing as at_bench, treating};
use crate::app::App;
use crate::body::Given;
use crate::problem::{ApiError, Problem};
use crate::typed::checked_in;
use crate::wire::entering::{ActAnswer, ActAsk, AgainstBookWire, DoneAsk, JarsAsk, StandsAsk};
use crate::wire::treating::CaskAsk;

/// Takes what was done at the bench into the book, all of its entries or none; told again it is entered
/// once. With `look` the entries are only told.
#[utoipa::path(
    post, path = "/api/book/acts", tag = "book", operation_id = "enterAct", request_body = ActAsk,
    responses(
        (status = 200, description = "Its entries", body = ActAnswer),
        (status = "4XX", description = "Refused", body = Problem, content_type = "application/problem+json"),
    )
)]
pub(crate) async fn act_route(
    State(app): State<Arc<App>>,
    Given(ask): Given<ActAsk>,
) -> Result<Json<ActAnswer>, ApiError> {
    let typed = checked_in(&ask.entered, &ask.done, unit_of)?;
    let act = act(&app, ask.done, ask.stands).await?;
    let (now_ms, look, dated) = (app.clock.now_ms(), ask.look, ask.by.act.clone());
    // The key of a request is its own; without one the act itself says which it is.
    let key = ask.by.key.clone().unwrap_or_else(|| act.key(dated.as_deref()));
    let entry = Entry { typed, ..by(ask.by, EntryKind::Transfer, now_ms)? };
    let jars = match &act {
        Act::Jars(mixed) => Some(mixed.clone()),
        Act::Moved(_) | Act::Regauged(_) => None,
    };
    let made = if look {
        let read = move |store: &store::Store| {
            store.look_at_act(&key, |ledger| act.entries(ledger, &entry))
        };
        app.own.read(read).await?
    } else {
        let write = move |store: &store::Store| {
            store.enter_act(&key, |ledger| act.entries(ledger, &entry), now_ms)
        };
        app.own.write(write).await?
    };
    let of: Vec<Entry> = made.entries.iter().map(|one| one.entry.clone()).collect();
    let against_book = jars.and_then(|jars| jars.against_book(&of)).map(AgainstBookWire::from);
    let entries = made.entries.iter().map(told).collect::<Result<_, _>>()?;
    Ok(Json(ActAnswer { entered: !look && !made.known, known: made.known, entries, against_book }))
}

/// The units of the numbers of the bench whose names have none.
fn unit_of(key: &str) -> Option<&'static str> {
    match key {
        "vol" | "from" | "to" | "gauged" | "reading" | "label" => Some(VOL),
        "celsius" => Some("°C"),
        "solids" => Some("kg"),
        _ => None,
    }
}

fn stand(text: &str) -> Result<Stand, ApiError> {
    Stand::of_text(text).map_err(refused)
}

/// Where it stands and where it comes to, and what a loss is put down to.
fn places(ask: &StandsAsk) -> Result<((Stand, Stand), Option<Place>), ApiError> {
    let out_of = stand(&ask.out_of)?;
    let into = ask.into.as_deref().map_or_else(|| Ok(out_of.clone()), stand)?;
    let lost_to = ask.lost_to.as_deref().map(Place::of_text).transpose().map_err(refused)?;
    Ok(((out_of, into), lost_to))
}

fn only_one() -> ApiError {
    let bound = "must be one of jars, steps, carbon, macerate, cask, bottling";
    ApiError::field(
        "done",
        "none, or several",
        bound,
        "send what was reckoned, as the bench takes it",
    )
}

/// The act that is meant.
async fn act(app: &App, done: DoneAsk, stands: Option<StandsAsk>) -> Result<Act, ApiError> {
    let DoneAsk { jars, steps, carbon, macerate, cask, bottling } = done;
    let given = [
        jars.is_some(),
        steps.is_some(),
        carbon.is_some(),
        macerate.is_some(),
        cask.is_some(),
        bottling.is_some(),
    ];
    if given.into_iter().filter(|given| *given).count() != 1 {
        return Err(only_one());
    }
    if let Some(jars) = jars {
        return mixed(app, jars).await;
    }
    let stands = stands.ok_or_else(|| {
        let bound = "must say where it stands in the book";
        ApiError::field("stands", "absent", bound, "as {\"out_of\": \"tank:T1/L-14\"}")
    })?;
    let (both, lost_to) = places(&stands)?;
    let moved = if let Some(ask) = steps {
        reduced(both, &at_bench::planned(ask)?, lost_to)
    } else if let Some(ask) = carbon {
        let is = treating::treated(&ask)?;
        let bed = stands.bed.as_deref().map(Name::new).transpose().map_err(refused)?;
        self::carbon(both, (ask.litres, ask.vol), is.out_strength_vol, is.lost_l, bed)
    } else if let Some(ask) = macerate {
        let is = treating::macerated(&ask)?;
        macerated(both, (ask.litres, ask.vol), is.strength_vol, is.lost_l)
    } else if let Some(ask) = bottling {
        let (lot, counted, size_ml) = (at_bench::lot(&ask)?, ask.counted, ask.size_ml);
        let strength_vol = lot.tank.strength_vol;
        bottled(both, Bottled { count: lot.count, counted, size_ml, strength_vol }, lost_to)
    } else if let Some(ask) = cask {
        return of_cask(both, &ask);
    } else {
        return Err(only_one());
    };
    Ok(Act::Moved(moved.map_err(refused)?))
}

/// A cask gauged again where it was, else filled.
fn of_cask(both: (Stand, Stand), ask: &CaskAsk) -> Result<Act, ApiError> {
    treating::looked_ahead(ask)?;
    let Some(then) = ask.regauged else {
        return Ok(Act::Moved(cask_filled(both, treating::filled(ask))));
    };
    let (cask, years) = (both.0, then.years);
    Ok(Act::Regauged(Regauged { cask, litres_20c: then.litres, strength_vol: then.vol, years }))
}

async fn mixed(app: &App, ask: JarsAsk) -> Result<Act, ApiError> {
    let (into, id) = (stand(&ask.into)?, RunId::new(&ask.run));
    if app.is_example(&id).await? {
        let hint = "the example is read-only, and no part of your book";
        return Err(ApiError::field("run", &ask.run, "must be a run of your own", hint));
    }
    let feints = match &ask.feints_into {
        Some(typed) => stand(typed)?,
        None => feints_stand(&ask.run).map_err(refused)?,
    };
    let folder = app.own.read(move |store| Ok(store.run(&id)?.folder())).await?;
    let (jars, _) = at_bench::gauged_jars(&folder);
    // What is predicted of them is no matter of the book.
    let cuts = Table { jars: &jars, congeners: None, factor: 1.0 }.cut(&ask.jars, &[])?;
    Ok(Act::Jars(Box::new(JarsMixed { run: ask.run, into, feints, cuts })))
}
