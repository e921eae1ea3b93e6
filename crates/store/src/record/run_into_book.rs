//! A run of the record as entries of the account: its charge, its jars, and where the rest went.
//!
//! What there was of everything is told by the run's own balance; this only names the places.

use account::{
    AccountError, Entry, EntryKind, Ledger, Leg, Name, Numbered, Place, PlaceKind, PureAlcohol,
    Spent,
};
use finishing::entering::{SAME_SHARE, Stand, feints_stand, jar_stand};
use sense::jar::{gauged, standing};

use super::new_run::RunMode;
use super::open::Store;
use super::project::RunState;
use super::run_id::RunId;
use crate::error::StoreError;

/// Alcohol between two reckonings of one run that is no difference, L.
const SAME_L: f64 = 1e-9;
/// Instruments that a note names. Judgement: a note is one line.
const INSTRUMENTS_TOLD: usize = 4;

/// What a unit of what a run took costs, in the money of the house.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Prices {
    /// Of a kilowatt hour.
    pub kwh: Option<f64>,
    /// Of a cubic metre of water.
    pub water_m3: Option<f64>,
}

/// How a run is taken into the account.
#[derive(Debug, Clone, PartialEq)]
pub struct IntoBook {
    /// Where its charge came from.
    pub from: Leg,
    /// Where the feints in it came from, where its plan says that some are; the only ones that stand
    /// where nothing is said.
    pub feints: Option<Leg>,
    /// Moment of entering, zone, people; what is typed of energy, water and money goes before what
    /// the meters counted.
    pub entry: Entry,
    /// What that costs.
    pub prices: Prices,
}

impl Store {
    /// Takes a run into the account, all its entries or none.
    ///
    /// # Errors
    /// As [`Store::run_entries`] and [`Store::enter_all`].
    pub fn run_into_book(
        &self,
        run: &RunId,
        into: &IntoBook,
        now_ms: i64,
    ) -> Result<Vec<Numbered>, StoreError> {
        let entries = self.run_entries(run, into)?;
        let last = self.enter_all(&entries, now_ms)?;
        let first = (last + 1).saturating_sub(entries.len() as u64);
        let numbered = (first..).zip(entries).map(|(number, entry)| Numbered { number, entry });
        Ok(numbered.collect())
    }

    /// The entries that take a run into the account. Nothing is entered yet.
    ///
    /// # Errors
    /// [`StoreError::NoRun`]; [`StoreError::Entry`] for a run whose balance is not worked out, or
    /// that is in the book already.
    pub fn run_entries(&self, run: &RunId, into: &IntoBook) -> Result<Vec<Entry>, StoreError> {
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
        let made = self.account(|ledger| made(&state, into, ledger))?;
        made.map_err(StoreError::from)?.ok_or_else(|| StoreError::Entry {
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
fn made(
    state: &RunState,
    into: &IntoBook,
    ledger: &Ledger,
) -> Result<Option<Vec<Entry>>, AccountError> {
    let IntoBook { entry, prices, .. } = into;
    let Some(balance) = state.current_balance() else { return Ok(None) };
    let Some(account) = &balance.account else { return Ok(None) };
    let Some(started_ms) = state.summary.started_ms else { return Ok(None) };
    let Some(ended_ms) = ended_ms(state, started_ms) else { return Ok(None) };
    let id = state.summary.id.as_str();
    let lot = |what: String| Name::new(&what).map(Some);
    let pot = pot(&state.plan.still.name)?;
    let in_pot =
        |alcohol| Ok::<_, AccountError>(Leg::new(pot.clone(), lot(id.to_owned())?, alcohol));
    let charged = litres(balance.charged_l)?;
    let of_run = |kind, act_ms: i64| Entry {
        kind,
        act_ms: act_ms.min(entry.entered_ms),
        run: Some(id.to_owned()),
        note: note(state, entry),
        spent: None,
        ..entry.clone()
    };
    let mut charge = of_run(EntryKind::Charge, started_ms);
    let planned_l = state.plan.charge.feints.map_or(0.0, |feints| feints.pure_alcohol_l());
    charge.from = charge_from(into, ledger, planned_l, (charge.act_ms, charged))?;
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
    let over = rounded(&mut to, charged);
    if over > PureAlcohol::ZERO {
        let mut gain = of_run(EntryKind::Gain, ended_ms);
        let why = "more was gauged than was charged";
        gain.note = Some(gain.note.map_or_else(|| why.to_owned(), |note| format!("{why}; {note}")));
        gain.from = vec![Leg::new(Place::of_text("found")?, None, over)];
        gain.to = vec![in_pot(over)?];
        entries.push(gain);
    } else {
        to.push(Leg::new(Place::of_text("not_explained")?, None, PureAlcohol::ZERO.less(over)));
    }
    let mut run = of_run(EntryKind::Distil, ended_ms);
    if let Some(with) = gauged_with(state) {
        run.note = Some(run.note.map_or_else(|| with.clone(), |note| format!("{with}; {note}")));
    }
    // Even where nothing of it was found, what was charged is gone.
    run.from = vec![in_pot(charged.plus(over.max(PureAlcohol::ZERO)))?];
    if to.iter().any(|leg| leg.place.kind() == PlaceKind::NotExplained) {
        run.not_explained_sd_l = Some(balance.missing_sd_l);
    }
    run.to = to;
    run.spent = Some(spent(state, entry.spent, *prices)).filter(|spent| *spent != Spent::default());
    entries.push(run);
    Ok(Some(entries))
}

/// Where a charge came from: the feints of its plan, `planned_l` of pure alcohol, from where they
/// stand, the rest from where it is said. Where the book has as much of the feints as the plan up to what nobody asks about, all of them
/// go.
fn charge_from(
    into: &IntoBook,
    ledger: &Ledger,
    planned_l: f64,
    (act_ms, charged): (i64, PureAlcohol),
) -> Result<Vec<Leg>, AccountError> {
    let all_of = |alcohol| Leg { alcohol, ..into.from.clone() };
    let at = (act_ms, ledger.length() + 1);
    let held = |leg: &Leg| ledger.held(&leg.place, leg.lot.as_ref(), at);
    if planned_l <= SAME_L {
        return Ok(vec![all_of(charged)]);
    }
    let standing = || {
        let feints = ledger.holdings().iter().filter(|one| one.place.kind() == PlaceKind::Feints);
        feints
            .map(|one| Leg::new(one.place.clone(), one.lot.clone(), PureAlcohol::ZERO))
            .filter(|leg| held(leg) > PureAlcohol::ZERO)
            .collect::<Vec<_>>()
    };
    let named = into.feints.clone().or_else(|| match &standing()[..] {
        [only] => Some(only.clone()),
        _ => None,
    });
    let Some(feints) = named else {
        return Err(AccountError::OutOfRange {
            field: "feints_from",
            value: format!("{planned_l:.3} L of pure alcohol in the plan of the run"),
            bound: "must say where they came from: no feints stand in the book then, or more than one lot",
            hint: "as feints:F1/F1; what the plan calls feints may stand as low wines or in a tank too",
        });
    };
    let wanted = litres(planned_l)?.min(charged);
    let there = held(&feints);
    let same = there.less(wanted).litres().abs() <= SAME_SHARE * there.litres();
    let part = if same { there.min(charged) } else { wanted };
    let own = all_of(charged.less(part));
    let feints = Leg { alcohol: part, ..feints };
    if (&own.place, &own.lot) == (&feints.place, &feints.lot) {
        return Ok(vec![all_of(charged)]);
    }
    let legs = [own, feints].into_iter();
    Ok(legs.filter(|leg| leg.alcohol > PureAlcohol::ZERO).collect())
}

/// What the parts come to more than was charged, less than nothing where some is missing. Each part
/// was rounded once: where all of it can be that, the largest part takes it.
fn rounded(to: &mut [Leg], charged: PureAlcohol) -> PureAlcohol {
    let brought: PureAlcohol = to.iter().map(|leg| leg.alcohol).sum();
    let over = brought.less(charged);
    if over.nanolitres().unsigned_abs() > to.len() as u64 {
        return over;
    }
    if let Some(largest) = to.iter_mut().max_by_key(|leg| leg.alcohol) {
        largest.alcohol = largest.alcohol.less(over);
    }
    PureAlcohol::ZERO
}

/// The boiler of a still, by its name.
fn pot(still: &str) -> Result<Place, AccountError> {
    let name: String =
        still.chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).take(30).collect();
    Place::new(PlaceKind::Pot, Some(Name::new(&name)?))
}

/// When a run was over: what was read from a folder ends with its last row.
fn ended_ms(state: &RunState, started_ms: i64) -> Option<i64> {
    #[expect(clippy::cast_possible_truncation, reason = "a run lasts at most a fortnight")]
    let last_ms = (state.last_time_s * 1000.0).round() as i64;
    let imported = state.summary.mode == RunMode::Imported;
    state.summary.ended_ms.or_else(|| imported.then(|| started_ms.saturating_add(last_ms)))
}

/// A rehearsal says in every entry that it is one.
fn note(state: &RunState, entry: &Entry) -> Option<String> {
    if state.summary.rehearsed() != Some(true) {
        return entry.note.clone();
    }
    let said = entry.note.as_ref().map_or_else(String::new, |note| format!("; {note}"));
    Some(format!("a rehearsal: nothing was distilled{said}"))
}

/// With what its jars were gauged, each instrument once, in words.
fn gauged_with(state: &RunState) -> Option<String> {
    let mut words: Vec<String> = Vec::new();
    for one in standing(&state.rows.jars).filter_map(|jar| jar.gauged_with.as_ref()) {
        let one = one.words();
        if words.len() < INSTRUMENTS_TOLD && !words.contains(&one) {
            words.push(one);
        }
    }
    (!words.is_empty()).then(|| format!("jars gauged with {}", words.join(", ")))
}

/// What a run took: as typed, else as its meters counted; money as typed and by the prices.
fn spent(state: &RunState, typed: Option<Spent>, prices: Prices) -> Spent {
    let (typed, metered) = (typed.unwrap_or_default(), state.rows.metered());
    let energy_kwh = typed.energy_kwh.or(metered.energy_kwh);
    let water_l = typed.water_l.or(metered.water_l);
    let costs = [
        typed.cost,
        energy_kwh.zip(prices.kwh).map(|(kwh, price)| kwh * price),
        water_l.zip(prices.water_m3).map(|(litres, price)| litres / 1000.0 * price),
    ];
    let cost = costs.iter().any(Option::is_some).then(|| costs.iter().flatten().sum());
    Spent { energy_kwh, water_l, cost }
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

#[cfg(test)]
mod tests {
    use super::{
        Entry, EntryKind, IntoBook, Ledger, Leg, Name, Numbered, Place, Prices, PureAlcohol,
        charge_from, litres, rounded,
    };

    fn leg(place: &str, lot: &str, alcohol_l: f64) -> Leg {
        let lot = (!lot.is_empty()).then(|| Name::new(lot).unwrap());
        Leg::new(Place::of_text(place).unwrap(), lot, litres(alcohol_l).unwrap())
    }

    #[test]
    fn the_feints_of_a_plan_are_taken_from_where_they_stand() {
        let mut ledger = Ledger::default();
        let mut receive = |place: &str, lot: &str, alcohol_l: f64| {
            let mut entry = Entry::new(EntryKind::Receive, 1_000, "Ada");
            entry.from = vec![leg("received:x", "", alcohol_l)];
            entry.to = vec![leg(place, lot, alcohol_l)];
            ledger.take(&Numbered { number: ledger.length() + 1, entry }).unwrap();
            ledger.clone()
        };
        let none = receive("wash:W", "W", 3.0);
        let one = receive("feints:F", "F", 1.005);
        let two = receive("feints:G", "G", 1.0);
        let from = |ledger: &Ledger, planned_l: f64, named: Option<&str>| {
            let into = IntoBook {
                from: leg("wash:W", "W", 0.0),
                feints: named.map(|name| leg(&format!("feints:{name}"), name, 0.0)),
                entry: Entry::new(EntryKind::Charge, 2_000, "Ada"),
                prices: Prices::default(),
            };
            let legs = charge_from(&into, ledger, planned_l, (2_000, litres(4.0)?))?;
            Ok::<_, super::AccountError>(
                legs.iter()
                    .map(|leg| (leg.whereabouts(), leg.alcohol.litres()))
                    .collect::<Vec<_>>(),
            )
        };
        let legs = |parts: &[(&str, f64)]| {
            Ok(parts.iter().map(|(at, litres)| ((*at).to_owned(), *litres)).collect::<Vec<_>>())
        };
        assert_eq!(from(&two, 0.0, None), legs(&[("wash:W/W", 4.0)]), "no feints planned");
        // 0.5 % is no difference: all of them go. A half is one.
        assert_eq!(from(&one, 1.0, None), legs(&[("wash:W/W", 2.995), ("feints:F/F", 1.005)]));
        assert_eq!(from(&one, 0.5, None), legs(&[("wash:W/W", 3.5), ("feints:F/F", 0.5)]));
        assert_eq!(from(&two, 1.0, Some("G")), legs(&[("wash:W/W", 3.0), ("feints:G/G", 1.0)]));
        for ledger in [&none, &two] {
            assert_eq!(from(ledger, 1.0, None).unwrap_err().field(), "feints_from");
        }
    }

    #[test]
    fn regress_a_nanolitre_of_rounding_is_no_gain() {
        let leg = |at: &str, nanolitres| {
            Leg::new(Place::of_text(at).unwrap(), None, PureAlcohol::of_nanolitres(nanolitres))
        };
        for (charged, over, largest) in
            [(999, 0, 699), (1002, 0, 702), (990, 10, 700), (1010, -10, 700)]
        {
            let mut to = vec![leg("loss:residue", 300), leg("loss:column", 700)];
            let told = rounded(&mut to, PureAlcohol::of_nanolitres(charged));
            assert_eq!((told.nanolitres(), to[1].alcohol.nanolitres()), (over, largest));
        }
    }
}
