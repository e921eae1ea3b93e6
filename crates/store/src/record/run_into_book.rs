//! A run of the record as entries of the account: its charge, its jars, and where the rest went.
//!
//! What there was of everything is told by the run's own balance; this only names the places.

use account::{AccountError, Entry, EntryKind, Leg, Name, Place, PureAlcohol};
use finishing::entering::{Stand, feints_stand, jar_stand};
use sense::jar::{gauged, standing};

use super::open::Store;
use super::project::RunState;
use super::run_id::RunId;
use crate::error::StoreError;

/// Alcohol between two reckonings of one run that is no difference, L.
const SAME_L: f64 = 1e-9;

impl Store {
    /// The entries that take a run into the account. `from` is where its charge came from; `entry`
    /// has the moment of entering, the zone and the people. Nothing is entered yet.
    ///
    /// # Errors
    /// [`StoreError::NoRun`]; [`StoreError::Entry`] for a run whose balance was never worked out, or
    /// that is in the book already.
    pub fn run_entries(
        &self,
        run: &RunId,
        from: &Leg,
        entry: &Entry,
    ) -> Result<Vec<Entry>, StoreError> {
        let state = self.run(run)?;
        let mut of_run = Vec::new();
        self.for_each_account_entry(|numbered| {
            if numbered.entry.run.as_deref() == Some(run.as_str()) {
                of_run.push(numbered.number);
            }
            Ok(())
        })?;
        let holds = |ledger: &account::Ledger| {
            of_run.iter().any(|number| ledger.corrected_by(*number).is_none())
        };
        let taken = self.account(holds)?;
        if taken {
            let bound = "is in the book already";
            return Err(StoreError::Entry { field: "run", value: run.to_string(), bound });
        }
        made(&state, from, entry).map_err(StoreError::from)?.ok_or_else(|| StoreError::Entry {
            field: "run",
            value: run.to_string(),
            bound: "must be over, and the balance of its alcohol worked out: open its page first",
        })
    }
}

fn litres(of: f64) -> Result<PureAlcohol, AccountError> {
    PureAlcohol::of_litres(of.max(0.0))
}

/// The entries of a run, where its balance is known.
fn made(state: &RunState, from: &Leg, entry: &Entry) -> Result<Option<Vec<Entry>>, AccountError> {
    let Some(balance) = state.balance.as_ref().map(|stored| &stored.balance) else {
        return Ok(None);
    };
    let Some(account) = &balance.account else { return Ok(None) };
    let Some(started_ms) = state.summary.started_ms else { return Ok(None) };
    let Some(ended_ms) = state.summary.ended_ms else { return Ok(None) };
    let id = state.summary.id.as_str();
    let lot = |what: String| Name::new(&what).map(Some);
    let still: String = state
        .plan
        .still
        .name
        .chars()
        .map(|c| if c.is_alphanumeric() { c } else { '-' })
        .take(30)
        .collect();
    let pot = Place::new(account::PlaceKind::Pot, Some(Name::new(&still)?))?;
    let in_pot =
        |alcohol| Ok::<_, AccountError>(Leg::new(pot.clone(), lot(id.to_owned())?, alcohol));
    let charged = litres(balance.charged_l)?;
    let of_run = |kind, act_ms: i64| Entry {
        kind,
        act_ms: act_ms.min(entry.entered_ms),
        run: Some(id.to_owned()),
        ..entry.clone()
    };
    let mut charge = of_run(EntryKind::Charge, started_ms);
    charge.from = vec![Leg { alcohol: charged, ..from.clone() }];
    charge.to = vec![in_pot(charged)?];
    let mut entries = vec![charge];
    let part = |code: &str| {
        account.parts.iter().find(|part| part.code == code).map_or(0.0, |part| part.alcohol_l)
    };
    let mut to = jars(state, id)?;
    let mut bring = |place: &str, lot: Option<Name>, alcohol_l: f64| {
        if alcohol_l > SAME_L {
            to.push(Leg::new(Place::of_text(place)?, lot, litres(alcohol_l)?));
        }
        Ok::<_, AccountError>(())
    };
    let feints = feints_stand(id)?;
    bring(&feints.place.to_string(), Some(feints.lot), part("feints"))?;
    bring("sample:run", None, part("samples"))?;
    let unread = part("not_read") + part("not_measured");
    bring(&format!("jar:{id}-rest"), lot(format!("{id}-rest"))?, unread)?;
    bring("loss:residue", None, part("residue") + part("left"))?;
    bring("loss:column", None, part("stays"))?;
    let missing = balance.missing_l.max(0.0);
    bring("loss:vapour", None, account.vapour_lost_l.clamp(0.0, missing))?;
    let brought: PureAlcohol = to.iter().map(|leg| leg.alcohol).sum();
    let over = brought.less(charged);
    if over > PureAlcohol::ZERO {
        let mut gain = of_run(EntryKind::Gain, ended_ms);
        gain.note = Some("more was gauged than was charged".to_owned());
        gain.from = vec![Leg::new(Place::of_text("found")?, None, over)];
        gain.to = vec![in_pot(over)?];
        entries.push(gain);
    } else {
        to.push(Leg::new(Place::of_text("not_explained")?, None, charged.less(brought)));
    }
    let mut run = of_run(EntryKind::Distil, ended_ms);
    // Even where nothing of it was found, what was charged is gone.
    run.from = vec![in_pot(charged.plus(over.max(PureAlcohol::ZERO)))?];
    run.to = to;
    entries.push(run);
    Ok(Some(entries))
}

/// The jars that were gauged, each a lot of its own.
fn jars(state: &RunState, id: &str) -> Result<Vec<Leg>, AccountError> {
    let mut legs = Vec::new();
    for jar in standing(&state.rows.jars) {
        let found = gauged(jar, None);
        let Some(vol) = found.strength_vol else { continue };
        let Stand { place, lot } = jar_stand(id, jar.number)?;
        legs.push(Leg::of_liquid(place, Some(lot), found.litres_20c, vol)?);
    }
    Ok(legs)
}
